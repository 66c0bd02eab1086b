"""What the tests of the drawings share: jobs of many shapes, their sheets, and files read back."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from ezdxf.document import Drawing

from generator.drawings.arrange import Sheet, arrange
from generator.drawings.dxf import dxf_text
from generator.drawings.sheet_set import sheet_set
from generator.drawings.sheets import SheetSet
from generator.layout.lay_out import layout
from generator.parts.assembly import Assembly
from generator.parts.build import assemble
from generator.parts.report import Report
from generator.spec.job import Job

EXAMPLES = tuple(
    sorted(path.stem for path in (Path(__file__).parents[2] / "examples").glob("*.yaml"))
)
NOTHING = Report((), ())
_STAIR = {"risers": 9, "rise": "5 ft", "tread": "11 in", "nosing": "1 in"}
_STAIR |= {"tread_thickness": "1-1/2 in"}
_USUAL = {"max_post_spacing": "6 ft", "max_cable_span": "36 in"}
# Shapes that the examples do not have: the deck to the right, skew corners, a stair in line, a
# stair up, walls at both ends, a leg too short for its posts, many short legs.
_SHAPES: dict[str, tuple[list[dict[str, Any]], dict[str, Any]]] = {
    "skew": (
        [
            {"level": "17 ft 3 in"},
            {"turn": -60, "corner": "single"},
            {"level": "9 ft 1-1/8 in"},
            {"turn": 45, "corner": "pair"},
            {"level": "8 ft"},
            {"turn": 0, "corner": "single"},
            {"stair": {**_STAIR, "direction": "down"}},
        ],
        {"deck": "right", "start": {"x": 3000, "y": 1500, "bearing": 30, "end": "wall"}},
    ),
    "upstairs": (
        [
            {"stair": {**_STAIR, "direction": "up"}},
            {"turn": 90, "corner": "pair"},
            {"level": "11 ft"},
        ],
        {"deck": "right", "start": {"z": 0, "bearing": 90}, "end": "wall"},
    ),
    "alcove": ([{"level": "12 ft"}], {"start": {"end": "wall"}, "end": "wall"}),
    "stub": ([{"level": "9 in"}], {}),
    "zigzag": (
        [
            {"level": "8 ft"},
            *(
                item
                for k in range(4)
                for item in (
                    {"turn": 90 if k % 2 == 0 else -90, "corner": "single"},
                    {"level": f"{7 + k} ft 5-3/8 in"},
                )
            ),
        ],
        {},
    ),
}
SHAPES = tuple(_SHAPES)


@pytest.fixture(scope="session", params=(*EXAMPLES, *SHAPES))
def assembly(
    request: pytest.FixtureRequest, planned: Callable[[str], Any], job_of: Callable[..., Job]
) -> Assembly:
    """Every example, and the shapes above in feet and inches."""
    if request.param in EXAMPLES:
        return planned(request.param).assembly
    legs, rest = _SHAPES[request.param]
    return assemble(layout(job_of(legs, units="in", **{**_USUAL, **rest})))


class _Made:
    """Sheets and files of assemblies, each made once; an assembly is known by its identity."""

    def __init__(self) -> None:
        self._sheets: dict[int, tuple[Assembly, Sheet]] = {}
        self._documents: dict[int, Drawing] = {}
        self._sets: dict[tuple[int, int], tuple[Assembly, Report, SheetSet]] = {}

    def sheet(self, assembly: Assembly) -> Sheet:
        if id(assembly) not in self._sheets:
            self._sheets[id(assembly)] = (assembly, arrange(assembly, NOTHING))
        return self._sheets[id(assembly)][1]

    def document(self, assembly: Assembly) -> Drawing:
        if id(assembly) not in self._documents:
            text = io.StringIO(dxf_text(self.sheet(assembly)))
            self._documents[id(assembly)] = ezdxf.read(text)
        return self._documents[id(assembly)]

    def set(self, assembly: Assembly, report: Report) -> SheetSet:
        key = id(assembly), id(report)
        if key not in self._sets:
            self._sets[key] = (assembly, report, sheet_set(assembly, report))
        return self._sets[key][2]


_MADE = _Made()


@pytest.fixture(scope="session")
def set_of() -> Callable[[Assembly, Report], SheetSet]:
    """The permit set of an assembly, made once for its report."""
    return _MADE.set


@pytest.fixture(scope="session")
def whole_set(assembly: Assembly, planned: Callable[[str], Any]) -> SheetSet:
    """The permit set of each job, of an example with what was found of it."""
    reports = [job.report for job in map(planned, EXAMPLES) if job.assembly is assembly]
    return _MADE.set(assembly, reports[0] if reports else NOTHING)


@pytest.fixture(scope="session")
def sheet(assembly: Assembly) -> Sheet:
    """The sheet of each job."""
    return _MADE.sheet(assembly)


@pytest.fixture(scope="session")
def document(assembly: Assembly) -> Drawing:
    """The file of each job, written and read back."""
    return _MADE.document(assembly)


@pytest.fixture(scope="session")
def sheet_of() -> Callable[[Assembly], Sheet]:
    """The sheet of an assembly, arranged once."""
    return _MADE.sheet


@pytest.fixture(scope="session")
def document_of() -> Callable[[Assembly], Drawing]:
    """The file of an assembly, written and read back once."""
    return _MADE.document
