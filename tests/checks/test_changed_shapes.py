"""Single parts of the lake deck turned or resized: what they then meet is told.

Worked by hand: each is made so large, or leans so far, that it must meet what stands beside it.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from changing import changed
from generator.checks import run
from generator.geometry import EndPlane, Frame, add, scale
from generator.parts.shapes import Prism, Rectangle, Route, Section, Step, Turned

INCH = 25.4


@pytest.fixture(scope="module")
def assembly(lake_deck):
    return lake_deck.assembly


def section(width, depth):
    """Another section, inches; the holes stay where they are."""

    def change(part):
        assert isinstance(part.shape, Prism)
        wide = Section(Rectangle(width * INCH, depth * INCH))
        return replace(part, shape=replace(part.shape, section=wide))

    return change


def longer(inches):
    def change(part):
        assert isinstance(part.shape, Prism)
        end = part.shape.end
        taller = EndPlane(end.z_mm + inches * INCH, end.slope_x, end.slope_y)
        return replace(part, shape=replace(part.shape, end=taller))

    return change


def thicker(times):
    def change(part):
        shape = part.shape
        if isinstance(shape, Route):
            return replace(part, shape=replace(shape, diameter_mm=shape.diameter_mm * times))
        assert isinstance(shape, Turned)
        steps = tuple(Step(s.start_mm, s.end_mm, s.outer_mm * times) for s in shape.steps)
        return replace(part, shape=Turned(steps))

    return change


def leaning(degrees):
    """Turned about the x of its own frame."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))

    def change(part):
        p = part.place
        y = add(scale(p.y, c), scale(p.z, s))
        z = add(scale(p.z, c), scale(p.y, -s))
        return replace(part, place=Frame(p.origin, p.x, y, z))

    return change


CASES = [
    ("P3", section(5, 5), "clash.parts"),
    ("P3", leaning(20), "clash.parts"),
    ("BP8", section(12, 12), "clash.parts"),
    ("A3-1", thicker(5), "clash.parts"),
    ("K3", section(9, 9), "clash.cable-post"),
    ("R1", section(2.5, 6), "clash.parts"),
    ("R3", leaning(3), "clash.parts"),
    ("C5", thicker(40), "clash.cable-post"),
    ("C5", leaning(5), "clash.parts"),
    ("F5S", thicker(1.4), "clash.fittings"),
    ("F5S", leaning(10), "clash.fittings"),
    ("N5S", section(7, 7), "clash.fittings"),
    ("W5S", thicker(12), "clash.fittings"),
    ("S1", leaning(15), "clash.cable-post"),
    ("S1", longer(3), "clash.parts"),
    ("D1", longer(2), "clash.parts"),
    ("RB2", longer(4), "clash.cable-tread"),
    ("BL1", leaning(30), "clash.parts"),
]


@pytest.mark.parametrize("mark, change, code", CASES)
def test_a_changed_part_is_told_by_what_it_meets(assembly, mark, change, code):
    assert mark in assembly.by_mark
    before = {(f.code, f.where) for f in run(assembly).findings}
    after = [
        f for f in run(changed(assembly, mark, change)).findings if (f.code, f.where) not in before
    ]
    mine = [f for f in after if f.code.startswith("clash.") and mark in f.where]
    assert mine, [(f.code, f.where) for f in after]
    assert code in {f.code for f in mine}, [(f.code, f.where) for f in mine]
    for f in mine:
        assert f.measured is not None
        assert f.limit is not None
        assert f.measured < f.limit
    assert all(f.clause and f.remedy for f in mine)


@pytest.mark.parametrize("mark, change, code", CASES[:6])
def test_a_pair_is_told_once(assembly, mark, change, code):
    findings = run(changed(assembly, mark, change)).findings
    pairs = [frozenset(f.where) for f in findings if f.code.startswith("clash.")]
    assert len(pairs) == len(set(pairs)), code
