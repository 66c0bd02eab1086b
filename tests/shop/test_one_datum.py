"""Every list of holes tells heights from the long point of the lower end, as the solids have it.

Heights, edges and lengths are measured anew in the part files of the STEP output, by the kernel.
"""
# The kernel's types are known to no reader of types.
# pyright: reportAttributeAccessIssue=false

from __future__ import annotations

import csv
import io
from dataclasses import replace
from itertools import groupby
from pathlib import Path

import ezdxf
import pytest
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
from OCP.BRepTools import BRepTools
from OCP.GeomAbs import GeomAbs_CurveType, GeomAbs_SurfaceType
from OCP.STEPControl import STEPControl_Reader
from OCP.TopAbs import TopAbs_Orientation, TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS

from generator.drawings.shop_files import write_part_files
from generator.parts.hole_table import hole_rows
from generator.parts.patterns import patterns
from generator.parts.setups import set_ups
from generator.results import results
from generator.schedules.bars import bar_list
from generator.schedules.cuts import cut_list
from generator.schedules.drill_data import drill_data
from generator.schedules.drilling import drilling_list
from generator.schedules.order import order_list
from generator.schedules.packing import packing_list
from generator.schedules.table import to_csv
from generator.shop.drilling import drill_sheets
from generator.shop.templates import drill_templates
from generator.shop.words import Fine, fineness
from generator.solids.step import write_model_and_parts
from generator.spec.job import StockLength
from generator.units import parse_length

INCH = 25.4
# Posts of these stand with a sloped foot: two ramps at 1 in 12 and a deck that falls 1 in 100.
SLOPED = ("garden-ramp", "pump-house-gangway", "drained-deck")
# The faces of a post in its own frame: x along its bearing, y to the left of it.
FACES = {(1, 0): "front", (-1, 0): "back", (0, 1): "left", (0, -1): "right"}


def read_back(table) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(to_csv(table))))


class Measured:
    """A post's STEP file: holes on its outer faces, lower corners of these, lowest and highest."""

    def __init__(self, path: Path) -> None:
        reader = STEPControl_Reader()
        reader.ReadFile(str(path))
        reader.TransferRoots()
        shape = reader.OneShape()
        points = [_point(corner) for corner in _explored(shape, TopAbs_ShapeEnum.TopAbs_VERTEX)]
        self.low, self.high = min(z for *_, z in points), max(z for *_, z in points)
        self.holes: dict[str, list[float]] = {}
        self.edges: dict[str, list[float]] = {}
        reach = max(x for x, *_ in points), max(y for _, y, _ in points)
        for face in _explored(shape, TopAbs_ShapeEnum.TopAbs_FACE):
            name = _face_name(face, reach)
            if name:
                self._read(name, TopoDS.Face_s(face))

    def _read(self, name: str, face) -> None:
        outer = BRepTools.OuterWire_s(face)
        middle = (self.low + self.high) / 2
        corners = [_point(v) for v in _explored(outer, TopAbs_ShapeEnum.TopAbs_VERTEX)]
        self.edges[name] = [z - self.low for *_, z in corners if z < middle]
        for wire in _explored(face, TopAbs_ShapeEnum.TopAbs_WIRE):
            if wire.IsSame(outer):
                continue
            tops = []
            for edge in _explored(wire, TopAbs_ShapeEnum.TopAbs_EDGE):
                curve = BRepAdaptor_Curve(TopoDS.Edge_s(edge))
                if curve.GetType() == GeomAbs_CurveType.GeomAbs_Circle:
                    z, r = curve.Circle().Location().Z(), curve.Circle().Radius()
                    tops += [z - r, z + r]
            self.holes.setdefault(name, []).append((min(tops) + max(tops)) / 2 - self.low)

    @property
    def long_mm(self) -> float:
        return self.high - self.low


def _explored(shape, kind):
    found = TopExp_Explorer(shape, kind)
    while found.More():
        yield found.Current()
        found.Next()


def _point(vertex) -> tuple[float, float, float]:
    point = BRep_Tool.Pnt_s(TopoDS.Vertex_s(vertex))
    return point.X(), point.Y(), point.Z()


def _face_name(face, reach: tuple[float, float]) -> str:
    surface = BRepAdaptor_Surface(TopoDS.Face_s(face))
    if surface.GetType() != GeomAbs_SurfaceType.GeomAbs_Plane:
        return ""
    normal, at = surface.Plane().Axis().Direction(), surface.Plane().Location()
    sign = -1.0 if face.Orientation() == TopAbs_Orientation.TopAbs_REVERSED else 1.0
    way = (round(sign * normal.X(), 6), round(sign * normal.Y(), 6))
    if way not in FACES:
        return ""
    out = way[0] * at.X() + way[1] * at.Y()
    return FACES[way] if abs(out - reach[0 if way[0] else 1]) < 1e-6 else ""


@pytest.fixture(scope="module", params=SLOPED)
def job(request, planned, tmp_path_factory: pytest.TempPathFactory):
    """The job, and its posts as they are in the STEP files, by mark."""
    plan = planned(request.param)
    assembly = plan.assembly
    folder = tmp_path_factory.mktemp(request.param)
    written = write_model_and_parts(assembly, folder)
    posts = {part.mark for part in assembly.of_kind("post")}
    found: dict[str, Measured] = {}
    for name, marks in written:
        for mark in posts.intersection(marks):
            found[mark] = found.get(next(iter(marks))) or Measured(folder / name)
    assert set(found) == posts
    return plan, found


def test_both_drilling_files_have_the_heights_of_the_solids(job):
    plan, solids = job
    assembly = plan.assembly
    by_mark = groupby(read_back(drilling_list(assembly)), key=lambda row: row["mark"])
    posts = {mark: list(rows) for mark, rows in by_mark if mark in solids}
    assert set(posts) == {mark for mark, one in solids.items() if one.holes}
    for mark, rows in posts.items():
        one = solids[mark]
        for face, heights in one.holes.items():
            told = {float(r["above_long_point_mm"]) for r in rows if r["face"] == face}
            assert sorted(told) == pytest.approx(sorted(set(_once(heights))), abs=1e-5)
        for row in rows:
            own = float(row["above_long_point_mm"]) - float(row["above_face_edge_mm"])
            assert own == pytest.approx(min(one.edges[row["face"]]), abs=1e-5)
    for row in read_back(drill_data(assembly)):
        mark = row["marks"].split()[0]
        if row["piece"] != "post":
            continue
        height = float(row["above_long_point_mm"])
        for face in filter(None, (row["face"], row["through"])):
            assert min(abs(height - z) for z in solids[mark].holes[face]) < 1e-5
        own = height - float(row["above_face_edge_mm"])
        assert own == pytest.approx(min(solids[mark].edges[row["face"]]), abs=1e-5)


def _once(heights: list[float]) -> list[float]:
    return [round(z, 7) for z in heights]


def test_a_length_has_one_meaning_in_every_file(job):
    plan, solids = job
    stock = plan.assembly.job.stock
    bar = StockLength(24 * 12 * INCH)
    assembly = replace(
        plan.assembly, job=replace(plan.assembly.job, stock=replace(stock, post=(bar,)))
    )
    cut = {row["mark"]: float(row["long_point_mm"]) for row in read_back(cut_list(assembly))}
    bars = {row["piece"]: float(row["length_mm"]) for row in read_back(bar_list(assembly))}
    posts = {post.mark: post.length_mm for post in results(assembly, plan.report).posts}
    for mark, one in solids.items():
        for told in (cut, bars, posts):
            assert told[mark] == pytest.approx(one.long_mm, abs=1e-5), mark
    whole = sum(one.long_mm for one in solids.values())
    item = next(iter(assembly.of_kind("post"))).item
    for table in (order_list(assembly), packing_list(assembly)):
        lines = [r for r in read_back(table) if r["item"] == item and r["length_mm"]]
        assert sum(float(r["length_mm"]) for r in lines) == pytest.approx(whole, abs=1e-4)


def test_flat_patterns_are_told_and_drawn_from_the_same_point(job, tmp_path):
    """The contour's foot is the cut: under each face it is where the solid's edge is."""
    plan, solids = job
    assembly = plan.assembly
    flats = [
        name for name, _ in write_part_files(assembly, tmp_path) if name.startswith("shop/flat-")
    ]
    table = read_back(drilling_list(assembly))
    for name in flats:
        document = ezdxf.readfile(tmp_path / name)
        scale = INCH if document.header["$INSUNITS"] == 1 else 1.0
        space = document.modelspace()
        mark = Path(name).stem.removeprefix("flat-")
        one = solids[mark]
        (outline,) = space.query('*[layer=="OUTLINE"]')
        points = [(x * scale, y * scale) for x, y in outline.get_points("xy")]
        assert min(y for _, y in points) == pytest.approx(0.0, abs=1e-6)
        assert max(y for _, y in points) == pytest.approx(one.long_mm, abs=1e-4)
        low = [y for _, y in points if y < one.long_mm / 2]
        for edges in one.edges.values():
            for edge in edges:
                assert min(abs(edge - y) for y in low) < 1e-4
        drawn = sorted(_middle_mm(hole) * scale for hole in space.query('*[layer=="HOLES"]'))
        rows = {
            (r["face"], r["above_long_point_mm"], r["offset_mm"])
            for r in table
            if r["mark"] == mark
        }
        told = sorted(float(height) for _, height, _ in rows)
        assert drawn == pytest.approx(told, abs=1e-4)
        texts = " ".join(one.dxf.text for one in space.query("TEXT"))
        assert "long point of the lower end at y = 0" in texts


def _middle_mm(entity) -> float:
    """How high the middle of a circle, or of a stadium of lines and arcs, lies."""
    if entity.dxftype() == "CIRCLE":
        return entity.dxf.center.y
    arcs = [one for one in entity.virtual_entities() if one.dxftype() == "ARC"]
    ends = [one.dxf.center.y + sign * one.dxf.radius for one in arcs for sign in (-1, 1)]
    return (min(ends) + max(ends)) / 2


def test_a_ramp_post_by_hand(planned, read):
    """P3 of the ramp at 1 in 12, its foot cut at the slope, the long point at the front.

    By hand: the front of a tube 2-1/2 in deep is 1-1/4 / 12 in lower than its axis, the back as
    much higher, so that the back's edge is 2-1/2 / 12 = 0.2083 in over the long point. Between the
    middles of the walls, 2-5/16 in apart, the cable falls 2.3125 / 12 = 0.1927 in. Row 1, back:
    2.0117 in over the long point, so 1.8034 in over the back's own edge; less half of the slot,
    0.1864 / 2, a tape reads 1.7102 in there, 1-11/16 in on its marks.
    """
    assembly = planned("garden-ramp").assembly
    for table in (drilling_list(assembly), drill_data(assembly)):
        own = [r for r in read_back(table) if "P3" in r.get("marks", r.get("mark", "")).split()]
        rows = [r for r in own if "1" in (r.get("row"), r.get("hole"))]
        heights = {r["face"]: float(r["above_long_point_mm"]) for r in rows}
        assert heights["back"] == pytest.approx(51.0977, abs=5e-5)
        fall = heights["back"] - heights["front"]
        assert fall / INCH == pytest.approx(2.3125 / 12, abs=1e-7)
        edges = {r["face"]: float(r["above_face_edge_mm"]) for r in rows}
        assert edges["front"] == pytest.approx(heights["front"], abs=1e-6)
        assert heights["back"] - edges["back"] == pytest.approx(2.5 / 12 * INCH, abs=1e-6)
    text = "\n".join(page.extract_text() for page in read(drill_sheets(assembly)).pages)
    page = text.split("Pattern C: ", 1)[1].split("Holes", 1)[0]
    hooked = " ".join(page.split("Hook on", 1)[1].split())
    assert 'back its edge, 0.208" above the long point 1 11/16"' in hooked
    assert 'front its edge 1 3/4"' in hooked


def test_a_template_has_the_edge_that_it_is_laid_to(planned, read, strokes):
    """Strip 5 is the back of pattern C: measured on the page as it is printed.

    By hand as above: the first hole 1.8034 in over the heavy line, the dashed one 0.2083 in below.
    """
    reader = read(drill_templates(planned("garden-ramp").assembly))
    said = [page.extract_text() for page in reader.pages]
    (number,) = [k for k, text in enumerate(said) if "Strips 5, 6: page 1 of" in text]
    assert "edge of this face" in said[number]
    own = [one for one in strokes(reader, number) if one.middle[0] < 12.0 + 63.5]
    level = sorted(
        one.middle[1]
        for one in own
        if len(one.points) == 2 and one.size[1] < 1e-6 and abs(one.size[0] - 63.5) < 2e-3
    )
    first = min(one.middle[1] for one in own if len(one.points) > 20 and max(one.size) < 16.0)
    assert len(level) == 2
    assert level[1] - level[0] == pytest.approx(2.5 / 12 * INCH, abs=2e-3)
    assert (first - level[1]) / INCH == pytest.approx(2.0117 - 2.5 / 12, abs=2e-4)


@pytest.mark.parametrize("name", ["lake-deck", "garden-ramp", "metric-terrace", "mill-mezzanine"])
def test_rounding_a_stop_eats_no_more_than_half_of_the_play(name, planned, read):
    """A stud may lie off the middle of its hole by half of the clearance of the profiles."""
    assembly = planned(name).assembly
    fine = fineness(assembly.job)
    play = min(
        assembly.job.system.post.hole_clearance_mm, assembly.job.system.spacer.hole_clearance_mm
    )
    assert fine.play_mm == play / 2
    text = "\n".join(page.extract_text() for page in read(drill_sheets(assembly)).pages)
    first = text.split("Patterns", 1)[0]
    for row in read_back(drill_data(assembly)):
        height = float(row["above_long_point_mm"])
        said = fine.words(height)
        assert said in text
        assert abs(parse_length(said, "mm") - height) <= play / 4 + 1e-6
        if row["hole"] == "1":
            assert " ".join(said.split()) in " ".join(first.split())


def test_stops_of_a_raked_stud_by_hand(planned):
    """P9 of the demo: front 2.590 in, back 4.032 in; sixteenths would be 0.028 and 0.031 in off.

    The hole is 1/32 in over the stud: 1/64 in of play either way, of which half is 1/128 in.
    """
    fine = fineness(planned("lake-deck").assembly.job)
    assert fine.play_mm == pytest.approx(INCH / 64)
    assert (fine.words(2.590 * INCH), fine.words(4.032 * INCH)) == ('2 19/32"', '4 1/32"')
    assert Fine(False, INCH / 200).words(2.590 * INCH) == '2.59"'
    assert Fine(False, INCH / 16).words(2.590 * INCH) == '2 9/16"'
    assert Fine(True, 0.4).words(65.78) == "65.8 mm"
    assert Fine(True, 0.05).words(65.78) == "65.78 mm"


def test_a_bore_through_solid_wood_comes_out_where_it_leans_to(planned):
    """The gangway falls 1 in 12: a bore through its pile of 114 mm comes out 9.5 mm lower.

    A tape on the far face is read there, not at the height of the near mouth.
    """
    found = patterns(planned("pump-house-gangway").assembly)
    planned_for = set_ups(found)
    rows = [r for one in found for r in hole_rows(one, planned_for) if any(r.hole.lean)]
    assert rows
    for row in rows:
        assert row.through
        near, far = row.mouths
        assert row.lowest_mm(near) == row.above_end_mm - row.hole.height_mm / 2
        assert row.lowest_mm(far) - row.lowest_mm(near) == pytest.approx(-114 / 12, abs=1e-6)
