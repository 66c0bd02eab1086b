"""Section values against sectionproperties (finite elements, MIT) and by hand."""

from __future__ import annotations

import math

import pytest

from generator.parts.shapes import Circle, Hole, Polygon, Rectangle, Section, tube
from generator.strength.sections import drilled_values, section_values, torsion_constant

# width, depth, wall, outer corner: the shipped profiles and those of reference.md section 11, mm
TUBES = [
    (63.5, 63.5, 4.7625, 0.0),
    (50.8, 50.8, 4.7625, 9.525),
    (60.0, 60.0, 5.0, 0.0),
    (63.5, 38.1, 3.175, 0.0),
    (60.0, 40.0, 3.0, 0.0),
    (25.4, 76.2, 3.175, 0.0),
    (60.325, 60.325, 3.81, 0.0),
]


def fe_section(geometry, mesh, *, torsion=False):
    from sectionproperties.analysis import Section as Fe

    geometry.create_mesh([mesh])
    section = Fe(geometry)
    section.calculate_geometric_properties()
    section.calculate_plastic_properties()
    if torsion:
        section.calculate_warping_properties()
    return section


def agree(values, fe, rel) -> None:
    ixx, iyy, _ = fe.get_ic()
    assert values.area == pytest.approx(fe.get_area(), rel=rel)
    assert values.about_x.inertia == pytest.approx(ixx, rel=rel)
    assert values.about_y.inertia == pytest.approx(iyy, rel=rel)
    # Elastic is z there, plastic s.
    sx, _, sy, _ = fe.get_z()
    zx, zy = fe.get_s()
    assert (values.about_x.elastic, values.about_y.elastic) == pytest.approx((sx, sy), rel=rel)
    assert (values.about_x.plastic, values.about_y.plastic) == pytest.approx((zx, zy), rel=rel)


@pytest.mark.parametrize("width,depth,wall,corner", TUBES)
def test_tubes_against_sectionproperties(width, depth, wall, corner) -> None:
    library = pytest.importorskip("sectionproperties.pre.library")

    def geometry(arcs):
        return library.rectangular_hollow_section(
            d=depth, b=width, t=wall, r_out=corner, n_r=arcs if corner else 1
        )

    values, mesh = section_values(tube(width, depth, wall, corner)), width * depth / 2000
    # An arc of 600 chords is true to 4e-7 of the area.
    agree(values, fe_section(geometry(600), mesh), 1e-6)
    fe = fe_section(geometry(12), mesh, torsion=True)
    assert values.torsion == pytest.approx(fe.get_j(), rel=0.05)


def test_solid_bar_against_sectionproperties() -> None:
    library = pytest.importorskip("sectionproperties.pre.library")
    fe = fe_section(library.rectangular_section(d=9.525, b=25.4), 0.3, torsion=True)
    values = section_values(Section(Rectangle(25.4, 9.525)))
    agree(values, fe, 1e-6)
    assert values.torsion == pytest.approx(fe.get_j(), rel=1e-4)


def test_drilled_tube_against_sectionproperties() -> None:
    # A 2-1/2 in tube cut where a stud's hole of 7.14 mm goes through both x walls.
    library = pytest.importorskip("sectionproperties.pre.library")
    bore, wall = 7.14375, 4.7625
    geometry = library.rectangular_hollow_section(d=63.5, b=63.5, t=wall, r_out=0, n_r=1)
    for x in (-1.0, 63.5 - wall):
        cut = library.rectangular_section(d=bore, b=wall + 1.0)
        geometry = geometry - cut.shift_section(x_offset=x, y_offset=31.75 - bore / 2)
    fe = fe_section(geometry, 2.0)
    holes = (hole("x-", bore), hole("x+", bore))
    values = drilled_values(tube(63.5, 63.5, wall), holes)
    agree(values, fe, 1e-6)
    # By hand: the tube less two bores through its walls.
    whole = 63.5**2 - (63.5 - 2 * wall) ** 2
    assert values.area == pytest.approx(whole - 2 * bore * wall, rel=1e-9)


def test_one_drilled_wall_moves_the_centroid() -> None:
    library = pytest.importorskip("sectionproperties.pre.library")
    bore, wall = 12.0, 4.7625
    geometry = library.rectangular_hollow_section(d=63.5, b=63.5, t=wall, r_out=0, n_r=1)
    cut = library.rectangular_section(d=bore, b=wall + 1.0)
    geometry = geometry - cut.shift_section(x_offset=63.5 - wall, y_offset=31.75 - bore / 2)
    fe = fe_section(geometry, 2.0)
    values = drilled_values(tube(63.5, 63.5, wall), (hole("x+", bore),))
    ixx, iyy, _ = fe.get_ic()
    assert values.about_x.inertia == pytest.approx(ixx, rel=1e-6)
    assert values.about_y.inertia == pytest.approx(iyy, rel=1e-6)
    assert values.about_y.elastic == pytest.approx(min(fe.get_z()[2:]), rel=1e-6)


def hole(face, bore) -> Hole:
    return Hole(face, 100.0, 0.0, bore, bore, 4.7625)


def test_published_tube() -> None:
    # reference.md section 11: 2.375 sq x 0.15, in, in2, in3, in4, by closed form and elements.
    v = section_values(tube(2.375, 2.375, 0.15))
    assert v.area == pytest.approx(1.335, abs=5e-6)
    assert v.about_x.inertia == pytest.approx(1.10652, abs=5e-6)
    assert v.about_x.elastic == pytest.approx(0.93181, abs=5e-6)
    assert v.about_x.plastic == pytest.approx(1.11558, abs=5e-6)
    assert v.torsion == pytest.approx(1.65227, abs=5e-6)


def test_round_bar_and_tube_by_hand() -> None:
    bar = section_values(Section(Circle(10.0)))
    assert bar.about_x.inertia == pytest.approx(math.pi * 10**4 / 64)
    assert bar.about_y.plastic == pytest.approx(10**3 / 6)
    pipe = Section(Circle(40.0), Circle(34.0))
    assert torsion_constant(pipe) == pytest.approx(math.pi / 32 * (40**4 - 34**4))


def test_a_square_bar_is_the_textbooks() -> None:
    # Timoshenko, Theory of Elasticity: J = 0.1406 a**4 (from memory).
    assert torsion_constant(Section(Rectangle(1.0, 1.0))) == pytest.approx(0.1406, abs=5e-5)


def test_polygons_have_no_values() -> None:
    corner = Section(Polygon(((0.0, 0.0), (1.0, 0.0), (0.0, 1.0))))
    with pytest.raises(TypeError):
        section_values(corner)
    with pytest.raises(TypeError):
        torsion_constant(corner)


def test_no_holes_changes_nothing() -> None:
    section = tube(63.5, 63.5, 4.7625)
    assert drilled_values(section, ()) == section_values(section)
