"""DXF for the shop: flat patterns and views against the kernel's solids, clean files."""
# The kernel's binding comes without type stubs.
# pyright: reportAttributeAccessIssue=false

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path

import ezdxf
import pytest
from ezdxf.document import Drawing
from OCP.Bnd import Bnd_Box
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepTools import BRepTools
from OCP.GeomAbs import GeomAbs_CurveType, GeomAbs_SurfaceType
from OCP.TopAbs import TopAbs_Orientation, TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS
from pyogrio.raw import read

from generator.drawings.parts_dxf import FOLD, HOLES, OUTLINE, Blank, flat_dxf
from generator.drawings.shop_files import write_part_files
from generator.parts.shapes import EndPlane, Hole, Prism, tube
from generator.products.flat import flat_pattern
from generator.products.pieces import cut_pieces
from generator.products.tree import distinct_parts
from generator.solids.model import solid_of

EXAMPLES = ("lake-deck", "metric-terrace", "core-terrace", "octagonal-bay")
Shown = tuple[float, float, float, float]


@pytest.fixture(scope="module", params=EXAMPLES)
def job(request, planned, tmp_path_factory) -> tuple:
    """An example's assembly and the folder that its files are in."""
    folder = tmp_path_factory.mktemp("dxf")
    assembly = planned(request.param).assembly
    write_part_files(assembly, folder)
    return assembly, folder


def unit(document: Drawing) -> float:
    """Millimetres in a drawing unit (DXF reference: $INSUNITS 1 inch, 4 millimetre)."""
    return {1: 25.4, 4: 1.0}[document.header["$INSUNITS"]]


def explored(shape, kind) -> Iterator:
    found = TopExp_Explorer(shape, kind)
    while found.More():
        yield found.Current()
        found.Next()


def unrolled(point: tuple[float, float, float], side: int, section) -> tuple[float, float]:
    """A point of a side face in the flat: the way round the outline from the start of face x+.

    Written from the shape of a rounded rectangle alone; `side` counts faces to the left from x+.
    """
    x, y, z = point
    w, d, r = section.width_mm / 2, section.depth_mm / 2, section.corner_mm
    along = ((y + d - r), (w - r - x), (d - r - y), (x + w - r))[side]
    before = sum((2 * (d, w)[k % 2] - 2 * r) + math.pi / 2 * r for k in range(side))
    return before + along, z


def holes_of_solid(solid, section) -> set[Shown]:
    """Holes in the outer side faces of the kernel's solid, in the flat: centre, width, height."""
    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(solid, box, False, False)
    bottom = box.CornerMin().Z()
    found: set[Shown] = set()
    for face in explored(solid, TopAbs_ShapeEnum.TopAbs_FACE):
        face = TopoDS.Face_s(face)
        surface = BRepAdaptor_Surface(face)
        if surface.GetType() != GeomAbs_SurfaceType.GeomAbs_Plane:
            continue
        normal, at = surface.Plane().Axis().Direction(), surface.Plane().Location()
        sign = -1.0 if face.Orientation() == TopAbs_Orientation.TopAbs_REVERSED else 1.0
        out = (sign * normal.X(), sign * normal.Y())
        sides = [k for k, way in enumerate(((1, 0), (0, 1), (-1, 0), (0, -1))) if _near(out, way)]
        reach = out[0] * at.X() + out[1] * at.Y()
        if not sides or reach < min(section.width_mm, section.depth_mm) / 2 - 1e-6:
            continue  # an end, or the wall of the hollow
        outer = BRepTools.OuterWire_s(face)
        for wire in explored(face, TopAbs_ShapeEnum.TopAbs_WIRE):
            if not wire.IsSame(outer):
                found.add(_hole(wire, sides[0], section, bottom))
    return found


def _near(a, b) -> bool:
    return math.dist(a, b) < 1e-9


def _hole(wire, side: int, section, bottom: float) -> Shown:
    """Extents of a wire of straight edges and arcs, from its circles' centres and radii."""
    points: list[tuple[float, float]] = []
    for edge in explored(wire, TopAbs_ShapeEnum.TopAbs_EDGE):
        curve = BRepAdaptor_Curve(TopoDS.Edge_s(edge))
        if curve.GetType() == GeomAbs_CurveType.GeomAbs_Circle:
            centre = curve.Circle().Location()
            u, v = unrolled((centre.X(), centre.Y(), centre.Z()), side, section)
            r = curve.Circle().Radius()
            points += [(u - r, v - r), (u + r, v + r)]
    us, vs = [p[0] for p in points], [p[1] for p in points]
    middle = ((min(us) + max(us)) / 2, (min(vs) + max(vs)) / 2 - bottom)
    return _rounded((*middle, max(us) - min(us), max(vs) - min(vs)))


def _rounded(values) -> Shown:
    a, b, c, d = (round(value, 4) + 0.0 for value in values)
    return (a, b, c, d)


def holes_of_file(document: Drawing) -> list[Shown]:
    """Holes of a flat pattern, in millimetres: centre, width, height."""
    scale = unit(document)
    found: list[Shown] = []
    for entity in document.modelspace().query(f'*[layer=="{HOLES}"]'):
        if entity.dxftype() == "CIRCLE":
            (x, y, _), r = entity.dxf.center, entity.dxf.radius
            low, high = (x - r, y - r), (x + r, y + r)
        else:
            arcs = [one for one in entity.virtual_entities() if one.dxftype() == "ARC"]
            low = tuple(min(a.dxf.center[k] - a.dxf.radius for a in arcs) for k in (0, 1))
            high = tuple(max(a.dxf.center[k] + a.dxf.radius for a in arcs) for k in (0, 1))
        middle = [(a + b) / 2 * scale for a, b in zip(low, high, strict=True)]
        size = [(b - a) * scale for a, b in zip(low, high, strict=True)]
        found.append(_rounded((*middle, *size)))
    return found


def posts(assembly) -> Iterator:
    return (piece.part for piece in cut_pieces(assembly) if piece.part.kind == "post")


def test_flat_patterns_have_the_holes_of_the_solids(job):
    """Positions from the kernel's solid, not from the table."""
    assembly, folder = job
    count = 0
    for part in posts(assembly):
        document = ezdxf.readfile(folder / "shop" / f"flat-{part.mark}.dxf")
        shown = holes_of_file(document)
        assert len(set(shown)) == len(shown)
        solid = holes_of_solid(solid_of(part.shape), part.shape.section.outer)
        assert _alike(sorted(shown), sorted(solid)), part.mark
        count += len(shown)
    assert count > 40


def _alike(a: list[Shown], b: list[Shown]) -> bool:
    if len(a) != len(b):
        return False
    return all(
        max(map(abs, (p - q for p, q in zip(one, two, strict=True)))) < 5e-4
        for one, two in zip(a, b, strict=True)
    )


def test_the_contour_goes_through_the_corners_of_the_solid(job):
    """The kernel's vertices on the outer corners, rolled flat, are corners of the contour."""
    assembly, folder = job
    for part in posts(assembly):
        section = part.shape.section.outer
        document = ezdxf.readfile(folder / "shop" / f"flat-{part.mark}.dxf")
        (contour,) = document.modelspace().query(f'LWPOLYLINE[layer=="{OUTLINE}"]')
        scale = unit(document)
        corners = [(x * scale, y * scale) for x, y in contour.get_points("xy")]
        solid = solid_of(part.shape)
        vertices = [
            BRep_Tool.Pnt_s(TopoDS.Vertex_s(vertex))
            for vertex in explored(solid, TopAbs_ShapeEnum.TopAbs_VERTEX)
        ]
        low = min(vertex.Z() for vertex in vertices)
        on_front = [
            unrolled((v.X(), v.Y(), v.Z() - low), 0, section)
            for v in vertices
            if abs(v.X() - section.width_mm / 2) < 1e-6
            and abs(abs(v.Y()) - (section.depth_mm / 2 - section.corner_mm)) < 1e-6
        ]
        assert len(on_front) >= 4
        for u, v in on_front:
            assert min(math.dist((u, v), corner) for corner in corners) < 1e-5


def test_fold_lines_part_the_sheet_into_four_faces(job):
    """The way round the outline: 2 (w + d) less 8 r plus 2 pi r."""
    assembly, folder = job
    for part in posts(assembly):
        section = part.shape.section.outer
        document = ezdxf.readfile(folder / "shop" / f"flat-{part.mark}.dxf")
        scale = unit(document)
        folds = sorted(
            line.dxf.start.x * scale for line in document.modelspace().query(f'*[layer=="{FOLD}"]')
        )
        r = section.corner_mm
        around = 2 * (section.width_mm + section.depth_mm) - 8 * r + 2 * math.pi * r
        (contour,) = document.modelspace().query(f'LWPOLYLINE[layer=="{OUTLINE}"]')
        width = max(x for x, _ in contour.get_points("xy")) * scale
        assert width == pytest.approx(around, abs=1e-6)
        assert len(folds) == (3 if r == 0.0 else 7)
        if r == 0.0:
            d, w = section.depth_mm, section.width_mm
            assert folds == pytest.approx([d, d + w, 2 * d + w])


def test_every_file_is_clean_and_in_the_units_of_the_job(job):
    assembly, folder = job
    files = sorted(folder.rglob("*.dxf"))
    assert len(files) > 15
    for path in files:
        document = ezdxf.readfile(path)
        auditor = document.audit()
        assert auditor.errors == []
        assert auditor.fixes == []
        assert document.dxfversion == "AC1032"  # DXF R2018
        assert document.header["$INSUNITS"] == (4 if assembly.job.metric else 1)
        entities = list(document.modelspace())
        assert {entity.dxf.layer for entity in entities} <= {
            "OUTLINE",
            "HIDDEN",
            "HOLES",
            "FOLD",
            "TEXT",
        }


def test_a_second_reader_sees_the_holes(job):
    """GDAL's DXF reader, through pyogrio."""
    assembly, folder = job
    part = next(posts(assembly))
    meta, _, _, fields = read(folder / "shop" / f"flat-{part.mark}.dxf")
    layers = list(fields[list(meta["fields"]).index("Layer")])
    assert layers.count(HOLES) == len(set(part.shape.holes))


def test_views_of_a_part_are_as_long_as_it_is(job):
    """The outline's extents along the piece are those of its solid, from the kernel."""
    assembly, folder = job
    for part in distinct_parts(assembly):
        if part.solid.kind not in ("rail", "post", "spacer", "handrail"):
            continue
        document = ezdxf.readfile(folder / "parts" / f"{part.file}.dxf")
        scale = unit(document)
        lines = document.modelspace().query(f'LINE[layer=="{OUTLINE}"]')
        ends = [p.x * scale for line in lines for p in (line.dxf.start, line.dxf.end)]
        box = Bnd_Box()
        BRepBndLib.AddOptimal_s(solid_of(part.solid.shape), box, False, False)
        length = box.CornerMax().Z() - box.CornerMin().Z()
        assert max(ends) - min(ends) == pytest.approx(length, abs=1e-4), part.file


def test_the_same_job_gives_the_same_files(planned, tmp_path: Path):
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        write_part_files(planned("lake-deck").assembly, tmp_path / name)
    files = sorted((tmp_path / "one").rglob("*.dxf"))
    for path in files:
        assert (
            path.read_bytes()
            == (tmp_path / "two" / path.relative_to(tmp_path / "one")).read_bytes()
        )


def test_a_hole_that_reaches_over_a_rounded_corner_is_rolled_with_it():
    """By hand: 1 mm over a corner of 5 mm radius lies asin(1/5) of it, 1.00679 mm, round it."""
    section = tube(40.0, 40.0, 3.0, 5.0)
    hole = Hole("x+", 50.0, 12.0, 8.0, 8.0, 3.0)  # from 8 to 16 mm; the flat ends at 15 mm
    flat = flat_pattern(Prism(section, EndPlane(0.0), EndPlane(100.0), (hole,)))
    (shown,) = flat.holes
    middle = flat.panel("x+").middle_mm
    rightmost = max(x for x, _ in shown.outline) - middle
    assert rightmost == pytest.approx(15.0 + 5.0 * math.asin(1.0 / 5.0), abs=1e-9)
    data = flat_dxf(flat, ["one"], Blank(metric=True)).decode("utf-8")
    assert data.count("LWPOLYLINE") >= 2


def test_a_hole_that_is_told_twice_is_cut_once():
    """Of two legs whose cable passes, both tell the hole."""
    hole = Hole("x+", 50.0, 0.0, 8.0, 8.0, 3.0)
    section = tube(40.0, 40.0, 3.0)
    flat = flat_pattern(Prism(section, EndPlane(0.0), EndPlane(100.0), (hole, hole)))
    assert len(flat.holes) == 1
