"""Same parts, same bytes: in two fresh processes, twice in one, and after other work in one."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import pytest

from generator.errors import BuildError
from generator.geometry import EndPlane, upright
from generator.parts.assembly import Assembly, Part
from generator.parts.shapes import Prism, tube
from generator.solids import write_step

ROOT = Path(__file__).resolve().parents[2]
SCRIPT = ROOT / "tests" / "bench" / "synthetic.py"
# A fresh process is to meet this source, whatever is installed.
HERE = {**os.environ, "PYTHONPATH": str(ROOT)}


def run_apart(path: Path, seed: str) -> str:
    """What a fresh process says on stdout, writing the synthetic guard of twenty posts.

    Besides, the modules that it has loaded of those that take long.
    """
    code = (
        "import runpy, sys; runpy.run_path(sys.argv[0], run_name='__main__'); "
        "print([m for m in ('OCP', 'cadquery', 'vtk', 'ezdxf') if m in sys.modules])"
    )
    launch = f"import sys; sys.argv = [{str(SCRIPT)!r}, '20', {str(path)!r}]; {code}"
    done = subprocess.run(
        [sys.executable, "-c", launch],
        env={**HERE, "PYTHONHASHSEED": seed},
        capture_output=True,
        text=True,
        check=True,
        timeout=300,
    )
    assert done.stderr == ""
    return done.stdout


def test_two_fresh_processes_and_this_one_write_the_same(tmp_path: Path, guard_step: Path) -> None:
    files = [tmp_path / "one.step", tmp_path / "two.step"]
    # The kernel is kept quiet, and nothing but the kernel is loaded.
    assert [run_apart(path, str(seed)) for seed, path in enumerate(files)] == ["['OCP']\n"] * 2
    first, second = (path.read_bytes() for path in files)
    assert first == second
    assert first == guard_step.read_bytes()


def few(guard: Assembly) -> Assembly:
    """One post with its hardware, one rail and one cable."""
    parts = [one for one in guard.parts if one.belongs_to in ("P1", "A.R1", "A.C1")]
    return Assembly(guard.job, tuple(parts), ())


def test_twice_in_one_process(
    guard: Assembly, guard_step: Path, synthetic: ModuleType, write: Callable[..., Path]
) -> None:
    write(few(synthetic.assembly(40)), "other.step", schema="AP242DIS")
    assert write(guard).read_bytes() == guard_step.read_bytes()


def test_settings_of_the_kernel_are_left_as_they_were(
    guard: Assembly, write: Callable[..., Path]
) -> None:
    from OCP.Interface import Interface_Static  # pyright: ignore[reportAttributeAccessIssue]

    curves, schema = "write.surfacecurve.mode", "write.step.schema"
    Interface_Static.SetIVal_s(curves, 1)
    before = Interface_Static.CVal_s(schema)
    write(few(guard), schema="AP242DIS")
    assert Interface_Static.IVal_s(curves) == 1
    assert Interface_Static.CVal_s(schema) == before != "AP242DIS"


def test_progress_is_told(guard: Assembly, tmp_path: Path) -> None:
    said: list[str] = []
    write_step(few(guard), tmp_path / "guard.step", progress=said.append)
    assert any("distinct parts" in words for words in said)


CROSSING = Prism(tube(60.0, 40.0, 3.0), EndPlane(0.0, 1.0), EndPlane(10.0, -1.0))


def crossing_rail() -> Part:
    place = upright((0.0, 0.0, 0.0), 0.0)
    return Part("R1", "rail", "rail flat", "A", 1, CROSSING, place, "R1")


def test_where_no_part_bounds_a_solid_that_is_said_and_nothing_is_written(
    synthetic: ModuleType, tmp_path: Path
) -> None:
    path = tmp_path / "job.step"
    path.write_text("former")
    with pytest.raises(BuildError, match="rail flat out of the model: its two end cuts cross"):
        write_step(Assembly(synthetic.job("x"), (crossing_rail(),), ()), path)
    with pytest.raises(BuildError, match="no parts"):
        write_step(Assembly(synthetic.job("x"), (), ()), path)
    assert path.read_text() == "former"


def test_a_part_that_bounds_no_solid_is_left_out_by_name(
    guard: Assembly, write: Callable[..., Path], tmp_path: Path
) -> None:
    # The branch that would hold it alone is left out with it: the file is that of the others.
    alone = replace(crossing_rail(), mark="R99", run="B", belongs_to="R99")
    path, said = tmp_path / "with.step", []
    others = few(guard)
    write_step(Assembly(guard.job, (*others.parts, alone), ()), path, progress=said.append)
    assert path.read_bytes() == write(others).read_bytes()
    assert any("rail flat" in words and "end cuts cross" in words for words in said)


def test_an_unknown_schema_is_refused(guard: Assembly, tmp_path: Path) -> None:
    with pytest.raises(BuildError, match="AP999"):
        write_step(guard, tmp_path / "guard.step", schema="AP999")


def test_loading_the_floor_loads_no_kernel() -> None:
    code = (
        "import sys, generator.solids, generator.products.tree; "
        "print([m for m in ('OCP', 'cadquery', 'vtk', 'numpy') if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], env=HERE, capture_output=True, text=True, check=True
    )
    assert done.stdout == "[]\n"
