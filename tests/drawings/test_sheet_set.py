"""The permit set: every sheet of every example, what it shows, and how it splits over sheets."""
# ezdxf tells the type of no entity that a query finds.
# pyright: reportAttributeAccessIssue=false, reportMissingImports=false

from __future__ import annotations

import importlib.util
import json
import math
import shutil
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from io import StringIO
from itertools import pairwise
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from ezdxf.document import Drawing
from pyogrio.raw import read

from generator.build import plan_job
from generator.drawings.layouts import layouts_text
from generator.drawings.lettering import overlaps
from generator.drawings.project import inside
from generator.drawings.revise import changes_since
from generator.drawings.revised import permit_set
from generator.drawings.sheet_set import sheet_set
from generator.drawings.sheets import SheetPage, SheetSet
from generator.drawings.tables import PaperTable, flowed
from generator.drawings.title_block import BORDER
from generator.drawings.view import Arc, Item, LinearDimension, Scale, Text, extent
from generator.errors import InputError
from generator.layout.lay_out import layout
from generator.parts.assembly import Assembly, PostDetail, detail_of
from generator.parts.build import assemble
from generator.parts.report import Report
from generator.results import results
from generator.spec.job import Drawings, Revision
from generator.strength.rows import summary_rows
from generator.strength.summary import assess
from generator.units import format_length, parse_length

EXAMPLES = sorted(path.stem for path in (Path(__file__).parents[2] / "examples").glob("*.yaml"))
READER = Path(__file__).with_name("reader")
BENCH = "tests/bench/bench_layout.py"
NOTHING = Report((), ())
SMALL = Drawings(sheet="ansi-b", scale="1 in")


class _Made:
    """Sets and documents of the examples, made once; `planned` and `set_of` are shared by all."""

    planned: Any
    set_of: Any

    def __init__(self) -> None:
        self.documents: dict[str, Drawing] = {}

    def job(self, name: str) -> tuple[Assembly, Report]:
        job = self.planned(name)
        return job.assembly, job.report

    def set(self, name: str) -> SheetSet:
        return self.set_of(*self.job(name))

    def document(self, name: str) -> Drawing:
        if name not in self.documents:
            text = layouts_text(self.set(name), self.job(name)[0])
            self.documents[name] = ezdxf.read(StringIO(text))
        return self.documents[name]


MADE = _Made()


@pytest.fixture(scope="module", autouse=True)
def _shared(planned: Any, set_of: Any) -> None:
    MADE.planned, MADE.set_of = planned, set_of


FEW = ("lake-deck", "metric-terrace", "fascia-balcony", "core-terrace")


@pytest.mark.parametrize("name", EXAMPLES)
def test_no_text_stands_on_another_on_any_sheet(name: str):
    for sheet in MADE.set(name).sheets:
        assert not overlaps(sheet.boxes), sheet.number


@pytest.mark.parametrize("name", EXAMPLES)
def test_nothing_lies_outside_the_border(name: str):
    sheets = MADE.set(name).sheets
    assert all(sheet.views or sheet.paper_items for sheet in sheets)
    for sheet in sheets:
        _inside_border(sheet)


def _inside_border(sheet: SheetPage) -> None:
    low, right, top = BORDER, sheet.paper.width - BORDER, sheet.paper.height - BORDER
    for x, y in _paper_points(sheet):
        assert low - 0.01 <= x <= right + 0.01, sheet.number
        assert low - 0.01 <= y <= top + 0.01, sheet.number
    for placed in sheet.views:
        x0, y0, x1, y1 = placed.frame
        assert low < x0 < x1 < right, sheet.number
        assert low < y0 < y1 < top, sheet.number


def _paper_points(sheet: SheetPage) -> Iterator[tuple[float, float]]:
    for item in sheet.paper_items:
        yield from extent(item)


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_view_of_an_example_is_whole_and_views_keep_apart(name: str):
    for sheet in MADE.set(name).sheets:
        for placed in sheet.views:
            assert placed.whole, (sheet.number, placed.title)
        frames = [placed.frame for placed in sheet.views]
        for k, a in enumerate(frames):
            for b in frames[k + 1 :]:
                apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
                assert apart, sheet.number


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_set_holds_what_a_reviewer_looks_for(name: str):
    # drawing-notes, "What a permit set holds".
    assembly, _ = MADE.job(name)
    sheets = MADE.set(name).sheets
    numbers = [sheet.number for sheet in sheets]
    assert numbers[0] == "G-001"
    assert len(set(numbers)) == len(numbers)
    shown = {placed.view.name for sheet in sheets for placed in sheet.views}
    assert {"plan", "pictorial"} <= shown
    assert {f"{leg.run}-{leg.number}" for leg in assembly.legs} <= shown
    stairs = {f"section-{leg.run}-{leg.number}" for leg in assembly.legs if leg.kind == "stair"}
    assert stairs <= shown
    cover = _texts(sheets[0].paper_items)
    whole = " ".join(text for sheet in sheets for text in _texts(sheet.paper_items))
    assert "SEAL" in cover
    assert "NOT ENGINEERED UNLESS SEALED" in cover
    for head in ("POSTS", "RAIL PIECES", "CABLES", "FINDINGS", "CHECKS AGAINST THE CODE"):
        assert head in whole
    assert "COMPLIAN" not in whole.upper()
    # What is summed up of a calculation, or that others make it.
    elsewhere = assembly.job.strength.elsewhere
    assert ("S-001" in numbers) == (not elsewhere)
    index = {number for number in numbers if any(number in text for text in cover)}
    assert {"G-001", "A-101", "A-201", "A-601"} <= index


def _texts(items: tuple[Item, ...]) -> list[str]:
    return [item.text for item in items if isinstance(item, Text)]


@pytest.mark.parametrize("name", EXAMPLES)
def test_schedules_say_what_the_table_says(name: str):
    assembly, _ = MADE.job(name)
    sheets = [sheet for sheet in MADE.set(name).sheets if sheet.title == "SCHEDULES"]
    texts = Counter(text for sheet in sheets for text in _texts(sheet.paper_items))
    for part in assembly.of_kind("post", "rail", "cable"):
        assert texts[part.mark.upper()] >= 1
    heights = Counter(
        format_length(detail_of(post, PostDetail).height_mm, assembly.job.metric)
        for post in assembly.of_kind("post")
    )
    for height, count in heights.items():
        assert texts[height] >= count


@pytest.mark.parametrize("name", FEW)
def test_the_auditor_finds_nothing_and_mends_nothing(name: str):
    # Reference library: ezdxf's auditor.
    auditor = MADE.document(name).audit()
    assert auditor.errors == []
    assert auditor.fixes == []


@pytest.mark.parametrize("name", FEW)
def test_a_viewport_shows_its_view_at_its_scale(name: str):
    # DXF reference: scale of a viewport = its height on paper over its view height.
    document, made = MADE.document(name), MADE.set(name)
    assert document.layouts.names()[1:] == [sheet.number for sheet in made.sheets]
    for sheet in made.sheets:
        ports = list(document.layout(sheet.number).query("VIEWPORT"))
        main, *rest = sorted(ports, key=lambda port: port.dxf.id)
        assert main.dxf.id == 1
        assert len(rest) == len(sheet.views)
        for port, placed in zip(rest, sheet.views, strict=True):
            assert port.dxf.view_height / port.dxf.height == pytest.approx(
                placed.scale.denominator, rel=1e-12
            )


def _inserts(space: Any) -> list[Any]:
    return list(space.query("INSERT"))


def test_the_plan_lies_at_its_true_coordinates_with_posts_as_blocks():
    assembly, _ = MADE.job("lake-deck")
    space = MADE.document("lake-deck").modelspace()
    posts = {
        insert.get_attrib_text("MARK"): insert
        for insert in _inserts(space)
        if insert.dxf.name.startswith("POST-")
    }
    assert set(posts) == {part.mark for part in assembly.of_kind("post")}
    for part in assembly.of_kind("post"):
        x, y, _ = part.place.origin
        at = posts[part.mark].dxf.insert
        assert (at.x, at.y) == pytest.approx((x / 25.4, y / 25.4), abs=1e-6)
        height = detail_of(part, PostDetail).height_mm
        assert posts[part.mark].get_attrib_text("HEIGHT") == format_length(height, False)
    marks = Counter(
        insert.get_attrib_text("MARK") for insert in _inserts(space) if insert.dxf.name == "MARK"
    )
    # Each post is marked in the plan, in its elevation and in a section.
    assert all(marks[part.mark] >= 2 for part in assembly.of_kind("post"))


@pytest.mark.parametrize("name", FEW)
def test_dimension_values_are_what_they_measure(name: str):
    made, document = MADE.set(name), MADE.document(name)
    metric = MADE.job(name)[0].job.metric
    views = {id(p.view): p.view for sheet in made.sheets for p in sheet.views}.values()
    lines = [i for view in views for i in view.items if isinstance(i, LinearDimension)]
    entities = document.modelspace().query("DIMENSION")
    linear = [d for d in entities if d.dxf.dimtype & 7 == 0]
    assert len(linear) == len(lines)
    unit = 1.0 if metric else 25.4
    for entity in linear:
        angle = math.radians(entity.dxf.angle)
        a, b = entity.dxf.defpoint2, entity.dxf.defpoint3
        reach = abs((b.x - a.x) * math.cos(angle) + (b.y - a.y) * math.sin(angle)) * unit
        assert entity.dxf.actual_measurement * unit == pytest.approx(reach, abs=0.05)
        said = entity.dxf.text
        if said.replace("'", "").replace('"', "").replace("-", "")[:1].isdigit():
            shown = parse_length(said.split(" (")[0], "mm" if metric else "in")
            assert shown == pytest.approx(reach, abs=1.0 if metric else 25.4 / 16)


def test_a_second_reader_sees_layers_inserts_and_dimensions(tmp_path: Path):
    # Reference: GDAL's DXF driver through pyogrio; it draws blocks and dimensions in place.
    document = MADE.document("lake-deck")
    path = tmp_path / "set.dxf"
    path.write_text(layouts_text(MADE.set("lake-deck"), MADE.job("lake-deck")[0]), "utf-8")
    meta, _, _, columns = read(path)
    fields = dict(zip(meta["fields"], columns, strict=True))
    space = document.modelspace()
    drawn = {entity.dxf.layer for entity in space if entity.dxftype() != "INSERT"}
    assert drawn <= set(fields["Layer"])
    seen = Counter(text for text in fields["Text"] if text)
    for dimension in space.query("DIMENSION"):
        assert seen[dimension.dxf.text.replace("%%d", "\u00b0")]
    for insert in _inserts(space):
        assert seen[insert.get_attrib_text("MARK")] or insert.dxf.name.startswith("POST-")


@pytest.mark.skipif(
    shutil.which("node") is None or not (READER / "node_modules").is_dir(),
    reason="needs node and `npm ci` in tests/drawings/reader",
)
def test_a_third_reader_sees_layers_inserts_and_dimensions(tmp_path: Path):
    # Reference: the npm package dxf, which shares no code with the writer.
    document = MADE.document("lake-deck")
    path = tmp_path / "set.dxf"
    path.write_text(layouts_text(MADE.set("lake-deck"), MADE.job("lake-deck")[0]), "utf-8")
    command = ["node", "read.mjs", str(path)]
    done = subprocess.run(command, cwd=READER, check=True, capture_output=True, text=True)
    seen = json.loads(done.stdout)
    # It also lists what lies on the layout that the file opens with.
    spaces = (document.modelspace(), document.layout("G-001"))
    inserts = [insert.dxf.name for space in spaces for insert in _inserts(space)]
    assert {layer.dxf.name for layer in document.layers} == set(seen["layers"])
    assert Counter(inserts) == Counter(seen["inserts"])
    assert seen["dimensions"] == len(document.modelspace().query("DIMENSION"))


def test_a_job_too_large_for_a_sheet_is_cut_at_match_lines():
    assembly, report = MADE.job("roof-terrace")
    made = sheet_set(_drawn(assembly, SMALL), report)
    plans = [sheet for sheet in made.sheets if sheet.title == "PLAN"]
    assert len(plans) > 1
    numbers = {sheet.number for sheet in made.sheets}
    for sheet in plans:
        words = [text for text in _texts(sheet.paper_items) if text.startswith("MATCH LINE")]
        assert words
        assert all(text.split()[-1] in numbers - {sheet.number} for text in words)
    for sheet in made.sheets:
        _inside_border(sheet)
        assert not overlaps(sheet.boxes), sheet.number
    _no_text_is_cut(made)


def test_three_hundred_posts_split_over_sheets(root: Path):
    assembly = _long(root, 300)
    assert sum(1 for _ in assembly.of_kind("post")) >= 300
    made = sheet_set(assembly, NOTHING)
    assert sum(sheet.title == "PLAN" for sheet in made.sheets) > 1
    for sheet in made.sheets:
        _inside_border(sheet)
        assert not overlaps(sheet.boxes), sheet.number
    _no_text_is_cut(made)
    shown = " ".join(text for sheet in made.sheets for text in _texts(sheet.paper_items)).split()
    assert {part.mark for part in assembly.of_kind("post")} <= set(shown)


def _long(root: Path, posts: int) -> Assembly:
    spec = importlib.util.spec_from_file_location("bench_layout", root / BENCH)
    assert spec is not None
    assert spec.loader is not None
    bench = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(bench)
    _, assembly, _ = plan_job(root / "examples" / "straight-leg.yaml")
    return assemble(layout(bench.zigzag(assembly.job, posts)))


def _no_text_is_cut(made: SheetSet) -> None:
    """Every text of a view that is cut lies whole on one of the sheets."""
    views: dict[int, list[Any]] = {}
    for sheet in made.sheets:
        for placed in sheet.views:
            views.setdefault(id(placed.view), []).append(placed)
    for pieces in views.values():
        for box in pieces[0].view.boxes:
            assert any(_holds(placed, box.corners) for placed in pieces)


def _holds(placed: Any, corners: Any) -> bool:
    x0, y0, x1, y1 = placed.frame
    points = [placed.on_paper(corner) for corner in corners]
    return all(x0 - 0.5 <= x <= x1 + 0.5 and y0 - 0.5 <= y <= y1 + 0.5 for x, y in points)


def _drawn(assembly: Assembly, drawings: Drawings) -> Assembly:
    return replace(assembly, job=replace(assembly.job, drawings=drawings))


@pytest.mark.parametrize(
    "sheet,width,height",
    [
        # ASME Y14.1 and ISO 5457 for the last three; ARCH sizes in inches.
        ("arch-b", 18 * 25.4, 12 * 25.4),
        ("arch-d", 36 * 25.4, 24 * 25.4),
        ("ansi-b", 17 * 25.4, 11 * 25.4),
        ("a3", 420.0, 297.0),
        ("a1", 841.0, 594.0),
    ],
)
def test_every_sheet_size_holds_the_whole_set(sheet: Any, width: float, height: float):
    assembly, report = MADE.job("lake-deck")
    made = sheet_set(_drawn(assembly, Drawings(sheet=sheet)), report)
    assert (made.paper.width, made.paper.height) == pytest.approx((width, height))
    for page in made.sheets:
        _inside_border(page)
        assert not overlaps(page.boxes), page.number


def test_the_title_block_says_what_the_spec_says():
    assembly, report = MADE.job("lake-deck")
    asked = Drawings(
        firm="Hill Street Decks",
        owner="the owner",
        address="12 Hill Street",
        parcel="7-12",
        date="2026-11-25",
        drawn_by="DB",
        seal=False,
        revisions=(Revision("A", "2026-11-20", "stair moved"),),
    )
    for sheet in sheet_set(_drawn(assembly, asked), report).sheets:
        texts = _texts(sheet.paper_items)
        values = {tag: text.text for tag, text in sheet.fields}
        assert values["FIRM"] == "HILL STREET DECKS"
        assert values["ADDRESS"] == "12 HILL STREET"
        assert values["NUMBER"] == sheet.number
        assert values["REVISION"] == "A"
        assert "STAIR MOVED" in texts
        assert "SEAL" not in texts


def test_lengths_can_be_told_in_another_unit_than_the_job():
    assembly, report = MADE.job("lake-deck")
    made = sheet_set(_drawn(assembly, Drawings(units="mm")), report)
    dimensions = [
        item.text
        for sheet in made.sheets
        for placed in sheet.views
        for item in placed.view.items
        if isinstance(item, LinearDimension)
    ]
    assert dimensions
    assert not [text for text in dimensions if '"' in text]


def test_a_revision_clouds_what_changed_and_says_so(
    tmp_path: Path, spec_values: Any, read_values: Any
):
    assembly, report = MADE.job("lake-deck")
    former = tmp_path / "results.json"
    former.write_text(results(assembly, report).model_dump_json(), encoding="utf-8")
    now = results(assembly, report).model_dump(mode="json")
    same = changes_since(former, now)
    assert (same.changed, same.removed) == ((), ())
    values = spec_values("lake-deck")
    values["guard"]["run_on"] = "2 in"  # only the free end of the stair's rail is longer
    other = assemble(layout(read_values(values)))
    changes = changes_since(former, results(other, report).model_dump(mode="json"))
    assert changes.changed
    assert set(changes.changed) <= {part.mark for part in other.of_kind("rail")}
    made = sheet_set(other, report, changes)
    clouds = {
        placed.view.name
        for sheet in made.sheets
        for placed in sheet.views
        if any(getattr(item, "layer", "") == "A-ANNO-REVC" for item in placed.view.items)
    }
    legs = {(p.run, p.leg) for p in other.of_kind("rail") if p.mark in changes.changed}
    assert clouds >= {"plan", *(f"{run}-{leg}" for run, leg in legs)}
    untouched = {f"{x.run}-{x.number}" for x in other.legs if (x.run, x.number) not in legs}
    assert not clouds & untouched
    row = " ".join(_texts(made.sheets[0].paper_items))
    assert all(mark in row for mark in changes.changed[:3])


def test_the_example_of_a_revision_is_clouded_clear_of_every_label():
    assembly, report = MADE.job("two-level-deck")
    made = permit_set(assembly, report)
    arcs = 0
    for placed in (placed for sheet in made.sheets for placed in sheet.views):
        clouds = [
            item
            for item in placed.view.items
            if isinstance(item, Arc) and item.layer == "A-ANNO-REVC"
        ]
        arcs += len(clouds)
        for arc in clouds:
            turns = [math.radians(arc.start_deg + k * 15.0) for k in range(13)]
            run = [
                (arc.centre[0] + arc.radius * math.cos(t), arc.centre[1] + arc.radius * math.sin(t))
                for t in turns
            ]
            assert not any(inside(a, b, box.corners) for a, b in pairwise(run)
                           for box in placed.view.boxes)  # fmt: skip
    assert arcs > 20
    # Its former document has run B 4 in shorter: nothing else may be clouded.
    row = next(t for t in _texts(made.sheets[0].paper_items) if t.startswith("CHANGED: "))
    changed = row.removeprefix("CHANGED: ").rstrip(",").split(", ")
    assert {assembly.by_mark[mark].run for mark in changed} == {"B"}


def test_a_table_goes_on_beside_the_widest_of_its_column():
    scale = Scale(1.0, "NONE", False)
    narrow = PaperTable("NARROW", ("A",), (("1",),) * 5)
    wide = PaperTable("WIDE", ("MARK", "WORDS"), (("P1", "AS LONG AS THIS"),) * 40)
    sheets = flowed([narrow, wide], (0.0, 0.0, 300.0, 120.0), scale)
    for items in sheets:
        texts = [item for item in items if isinstance(item, Text)]
        assert len({round(text.at[0]) for text in texts}) > 3  # it does go on
        assert not overlaps(text.box for text in texts)


def test_the_calculation_is_summed_up_on_a_sheet():
    assembly, report = MADE.job("lake-deck")
    sheet = next(sheet for sheet in MADE.set("lake-deck").sheets if sheet.number == "S-001")
    texts = _texts(sheet.paper_items)
    assert "CALCULATION SUMMARY" in texts
    assert any("LICENSED ENGINEER" in text for text in texts)
    for row in summary_rows(assess(assembly)):
        k = texts.index(row.code.upper())
        told = texts[k : k + 12]
        assert f"{row.utilisation:.3f}" in told
        assert ("PASSED" if row.passed else "SEE FINDINGS") in told
    without = sheet_set(assembly, report, strength=False)
    assert "S-001" not in [sheet.number for sheet in without.sheets]


def test_a_former_document_that_is_none_is_refused(tmp_path: Path):
    for text in ("not json", "[]", '{"posts": 1}'):
        path = tmp_path / "results.json"
        path.write_text(text, encoding="utf-8")
        with pytest.raises(InputError):
            changes_since(path, {"posts": [], "rails": [], "cables": []})
    with pytest.raises(InputError):
        changes_since(tmp_path / "none.json", {"posts": [], "rails": [], "cables": []})


def test_two_fresh_processes_write_the_same_bytes(tmp_path: Path, root: Path):
    program = (
        "import sys; from pathlib import Path;"
        "from generator.build import plan_job;"
        "from generator.drawings.sheet_set import sheet_set;"
        "from generator.drawings.sheet import write_set_dxf;"
        "_, assembly, report = plan_job(Path('examples/lake-deck.yaml'));"
        "write_set_dxf(sheet_set(assembly, report), assembly, Path(sys.argv[1]))"
    )
    written = []
    for seed in ("1", "4"):  # the library goes through sets in another order
        path = tmp_path / f"{seed}.dxf"
        command = [sys.executable, "-c", program, str(path)]
        subprocess.run(command, cwd=root, env={"PYTHONHASHSEED": seed}, check=True)
        written.append(path.read_bytes())
    assert written[0] == written[1]
