"""Stairs in their three ways of measuring: one stair, one meaning; treads as measured are kept."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from generator.errors import InputError
from generator.spec import read_job
from generator.spec.job import Stair, TreadStep

HEAD = "job: {title: Plover Way porch, rules: irc-2021}\nsystem: {}\n"


def mm(inches: float) -> float:
    """Inches in mm, exact and rounded once, as the spec is read."""
    return float(Fraction(inches) * Fraction(254, 10))


def stair(folder: Path, keys: str, beside: str = "") -> Stair:
    path = folder / "job.yaml"
    text = f"{HEAD}runs:\n  - legs:\n      - stair: {{{keys}}}\n{beside}"
    path.write_text(text, encoding="utf-8")
    (leg,) = read_job(path).runs[0].legs
    assert isinstance(leg, Stair)
    return leg


def test_total_going_is_that_of_one_tread_less_than_risers(tmp_path: Path) -> None:
    # 7 risers have 6 treads: 66 in of going are 11 in each (geometry.md C).
    by_tread = stair(tmp_path, "risers: 7, rise: 4 ft, tread: 11 in")
    by_going = stair(tmp_path, "risers: 7, rise: 4 ft, going: 66 in")
    assert by_going.tread_mm == pytest.approx(mm(11), abs=1e-9)
    assert by_going == by_tread


def test_equal_treads_as_measured_are_the_equal_stair(tmp_path: Path) -> None:
    steps = "{rise: 7 in, going: 11 in}, " * 6 + "{rise: 177.8 mm}"
    measured = stair(tmp_path, f"treads: [{steps}]")
    equal = stair(tmp_path, "risers: 7, rise: 49 in, tread: 11 in")
    assert measured.steps == ()
    assert measured == equal


def test_treads_as_measured_are_kept(tmp_path: Path) -> None:
    steps = "{rise: 7-1/8 in, going: 11 in}, {rise: 7 in, going: 10-3/4 in}, {rise: 7-1/4 in}"
    read = stair(tmp_path, f"treads: [{steps}]")
    assert [(step.rise_mm, step.going_mm) for step in read.steps] == [
        (mm(7.125), mm(11)),
        (mm(7), mm(10.75)),
        (mm(7.25), 0.0),
    ]
    assert read.risers == 3
    # By hand: 7-1/8 + 7 + 7-1/4 = 21-3/8; (11 + 10-3/4) / 2 = 10-7/8.
    assert read.rise_mm == pytest.approx(mm(21.375), abs=1e-9)
    assert read.tread_mm == pytest.approx(mm(10.875), abs=1e-9)


def test_one_going_that_differs_is_enough(tmp_path: Path) -> None:
    steps = "{rise: 7 in, going: 11 in}, {rise: 7 in, going: 11.001 in}, {rise: 7 in}"
    assert len(stair(tmp_path, f"treads: [{steps}]").steps) == 3


def test_the_going_of_the_last_riser_says_nothing(tmp_path: Path) -> None:
    # Its riser leads to the lower floor.
    steps = "{rise: 7 in, going: 11 in}, {rise: 7-1/4 in, going: 11 in}, {rise: 7 in"
    bare = stair(tmp_path, f"treads: [{steps}}}]")
    given_too = stair(tmp_path, f"treads: [{steps}, going: 9 ft}}]")
    assert given_too == bare
    assert bare.steps[-1] == TreadStep(mm(7), 0.0)


@pytest.mark.parametrize(
    "keys", ["risers: 1, rise: 7 in, tread: 11 in", "treads: [{rise: 7 in, going: 11 in}]"]
)
def test_a_step_of_one_riser(tmp_path: Path, keys: str) -> None:
    read = stair(tmp_path, keys)
    assert (read.risers, read.rise_mm, read.tread_mm, read.steps) == (1, mm(7), mm(11), ())


def test_a_stair_of_two_risers_by_its_going(tmp_path: Path) -> None:
    read = stair(tmp_path, "risers: 2, rise: 14 in, going: 12 in")
    assert read.tread_mm == pytest.approx(mm(12), abs=1e-9)


def test_what_is_not_said_of_a_stair(tmp_path: Path) -> None:
    read = stair(tmp_path, "risers: 7, rise: 4 ft, tread: 11 in")
    assert read == Stair("runs[0].legs[0]", 7, mm(48), mm(11), 0.0, mm(1.5), "down")


def test_what_can_be_said_of_a_stair(tmp_path: Path) -> None:
    words = "open_risers: true, foot: newel, posts: stringer, name: main, width: 3 ft"
    read = stair(
        tmp_path,
        f"risers: 7, rise: 4 ft, tread: 11 in, direction: up, nosing: 1 in, {words}",
        "        inset: -2 in\n",
    )
    assert (read.open_risers, read.foot, read.posts) == (True, "newel", "stringer")
    assert (read.name, read.direction) == ("main", "up")
    assert (read.width_mm, read.inset_mm) == pytest.approx((mm(36), mm(-2)))


def test_both_sides_of_a_stair_by_its_name(tmp_path: Path) -> None:
    down = "{name: main, risers: 7, rise: 4 ft, tread: 11 in, width: 3 ft}"
    up = "{name: main, risers: 7, rise: 48 in, tread: 279.4 mm, width: 36 in, direction: up}"
    path = tmp_path / "job.yaml"
    path.write_text(f"{HEAD}runs:\n  - legs: [stair: {down}]\n  - legs: [stair: {up}]\n")
    first, second = (run.legs[0] for run in read_job(path).runs)
    assert isinstance(first, Stair)
    assert isinstance(second, Stair)
    assert (first.name, first.width_mm) == (second.name, second.width_mm)


def test_the_smallest_tread_as_measured_bounds_the_setback(tmp_path: Path) -> None:
    keys = "treads: [{rise: 7 in, going: 11 in}, {rise: 7 in, going: 10 in}, {rise: 7 in}]"
    path = tmp_path / "job.yaml"
    for setback, good in (("10 in", True), ("10-1/4 in", False)):
        text = (
            f"{HEAD}guard: {{stair_setback: {setback}}}\nruns: [{{legs: [{{stair: {{{keys}}}}}]}}]"
        )
        path.write_text(text)
        if good:
            assert read_job(path).runs
        else:
            with pytest.raises(InputError, match=r"guard\.stair_setback: read 10-1/4 in"):
                read_job(path)


@settings(
    deadline=None, max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    st.lists(st.tuples(st.integers(60, 90), st.integers(160, 200)), min_size=2, max_size=20),
    st.booleans(),
)
def test_sums_and_means_of_measured_treads(
    tmp_path: Path, tenths: list[tuple[int, int]], alike: bool
) -> None:
    # Exact in tenths of an inch; 25.4 mm an inch.
    if alike:
        tenths = [tenths[0]] * len(tenths)
    steps = ", ".join(f"{{rise: {rise / 10} in, going: {going / 10} in}}" for rise, going in tenths)
    read = stair(tmp_path, f"tread_thickness: 1 in, treads: [{steps}]")
    goings = [going for _, going in tenths[:-1]]
    assert read.rise_mm == pytest.approx(2.54 * sum(rise for rise, _ in tenths), abs=2e-9)
    assert read.tread_mm == pytest.approx(2.54 * sum(goings) / len(goings), abs=2e-9)
    same = len({rise for rise, _ in tenths}) == 1 and len(set(goings)) == 1
    assert len(read.steps) == (0 if same else len(tenths))
