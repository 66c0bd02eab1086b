"""What the tests of the solids share: a synthetic guard, its STEP file, and readers of both."""

from __future__ import annotations

import importlib.util
import sys
import warnings
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import pytest

from generator.parts.assembly import Assembly
from generator.solids import write_step

TESTS = Path(__file__).resolve().parent.parent


def _load(path: Path) -> ModuleType:
    """A helper beside the tests, which are no package, as a module of its own."""
    name = f"stringline_tests_{path.stem}"
    if name not in sys.modules:
        spec = importlib.util.spec_from_file_location(name, path)
        assert spec is not None
        assert spec.loader is not None
        module = importlib.util.module_from_spec(spec)
        sys.modules[name] = module
        spec.loader.exec_module(module)
    return sys.modules[name]


@pytest.fixture(scope="session")
def synthetic() -> ModuleType:
    """The maker of guards with any number of posts, shared with the benchmark."""
    return _load(TESTS / "bench" / "synthetic.py")


@pytest.fixture(scope="session")
def reading() -> ModuleType:
    """Readers of STEP files and solids."""
    return _load(TESTS / "solids" / "reading.py")


@pytest.fixture(scope="session")
def cq() -> ModuleType:
    """cadquery, as an independent modeller and reader; its import warns about its own grammar."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import cadquery
    return cadquery


@pytest.fixture(scope="session")
def guard(synthetic: ModuleType) -> Assembly:
    """Twenty posts: a level leg and a pitched one."""
    return synthetic.assembly(20)


@pytest.fixture(scope="session")
def guard_step(guard: Assembly, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The STEP file of `guard`."""
    path = tmp_path_factory.mktemp("step") / "guard.step"
    write_step(guard, path)
    return path


@pytest.fixture(scope="session")
def leaves(guard_step: Path, reading: ModuleType) -> list:
    """Every solid that the kernel's reader finds in the STEP file of `guard`."""
    return reading.read_step(guard_step)


@pytest.fixture
def write(tmp_path: Path) -> Callable[..., Path]:
    """Writes an assembly into a new STEP file and says where."""

    def written(assembly: Assembly, name: str = "job.step", **options: str) -> Path:
        write_step(assembly, tmp_path / name, **options)  # type: ignore[arg-type]
        return tmp_path / name

    return written
