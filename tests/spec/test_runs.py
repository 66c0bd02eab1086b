"""Runs of every shape: levels, ramps, openings, corners, fixed posts, shared ends, loops."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from generator.errors import InputError
from generator.spec import read_job
from generator.spec.job import FixedPost, Job, Level, Opening, Ramp, Run, Turn
from generator.spec.sequence import closing_turn

HEAD = "job: {title: Plover Way porch, rules: irc-2021}\nsystem: {}\n"


def mm(inches: float) -> float:
    """Inches in mm, exact and rounded once, as the spec is read."""
    return float(Fraction(inches) * Fraction(254, 10))


def read(folder: Path, text: str) -> Job:
    path = folder / "job.yaml"
    path.write_text(HEAD + text, encoding="utf-8")
    return read_job(path)


def run_of(folder: Path, legs: str, more: str = "") -> Run:
    """The one run with these legs, each on its own line."""
    lines = "".join(f"      - {leg}\n" for leg in legs.strip().splitlines())
    return read(folder, f"runs:\n  - legs:\n{lines}{more}").runs[0]


def test_a_level_leg_by_itself_has_what_the_guard_has(tmp_path: Path) -> None:
    (leg,) = run_of(tmp_path, "level: 24 ft").legs
    assert leg == Level("runs[0].legs[0]", mm(288), 0.0, None, None, ())


def test_a_drained_edge_with_inset_and_mount_of_its_own(tmp_path: Path) -> None:
    # 1/4 in per foot over 24 ft is 6 in (common practice, no source).
    (leg,) = run_of(tmp_path, "{level: 24 ft, fall: 6 in, inset: -3 in, mount: fascia}").legs
    assert leg == Level("runs[0].legs[0]", mm(288), mm(6), mm(-3), "fascia")
    (rising,) = run_of(tmp_path, "{level: 24 ft, fall: -6 in}").legs
    assert isinstance(rising, Level)
    assert rising.fall_mm == pytest.approx(mm(-6))


def test_ramps_up_and_down(tmp_path: Path) -> None:
    down, flat, up = run_of(
        tmp_path,
        "ramp: {length: 12 ft, rise: -12 in}\n"
        "level: 5 ft\n"
        "{ramp: {length: 12 ft, rise: 1 ft}, inset: 0 in, mount: deck}",
    ).legs
    assert down == Ramp("runs[0].legs[0]", mm(144), mm(-12))
    assert isinstance(flat, Level)
    assert up == Ramp("runs[0].legs[2]", mm(144), mm(12), 0.0, "deck")


def test_a_ramp_of_45_degrees_is_the_steepest(tmp_path: Path) -> None:
    (leg,) = run_of(tmp_path, "ramp: {length: 3 ft, rise: -3 ft}").legs
    assert isinstance(leg, Ramp)
    with pytest.raises(InputError, match="steeper than 45 degrees is a stair"):
        run_of(tmp_path, "ramp: {length: 3 ft, rise: -3.001 ft}")


def test_fixed_posts_stand_in_the_order_of_the_leg(tmp_path: Path) -> None:
    posts = (
        "{at: 16 ft, width: 8 in, depth: 1 ft, material: masonry, cables: anchor}, "
        "{at: 8 ft, width: 5-1/2 in}"
    )
    (leg,) = run_of(tmp_path, f"{{level: 24 ft, fixed: [{posts}]}}").legs
    assert isinstance(leg, Level)
    path = "runs[0].legs[0].fixed"
    assert leg.fixed == (
        FixedPost(f"{path}[1]", mm(96), mm(5.5), mm(5.5), "timber", "pass"),
        FixedPost(f"{path}[0]", mm(192), mm(8), mm(12), "masonry", "anchor"),
    )
    ramp = f"{{ramp: {{length: 24 ft, rise: 1 ft}}, fixed: [{posts}]}}"
    (slope,) = run_of(tmp_path, ramp).legs
    assert isinstance(slope, Ramp)
    assert slope.fixed == leg.fixed


def test_fixed_posts_may_touch_each_other_and_both_ends(tmp_path: Path) -> None:
    posts = "{at: 0 in, width: 4 in}, {at: 4 in, width: 4 in}, {at: 24 ft, width: 4 in}"
    (leg,) = run_of(tmp_path, f"{{level: 24 ft, fixed: [{posts}]}}").legs
    assert isinstance(leg, Level)
    assert [post.at_mm for post in leg.fixed] == pytest.approx([0, mm(4), mm(288)])


def test_an_opening_stands_between_two_legs(tmp_path: Path) -> None:
    legs = run_of(tmp_path, "level: 12 ft\nopening: 36 in\nlevel: 9 ft").legs
    assert legs[1] == Opening("runs[0].legs[1]", mm(36))
    assert [type(leg).__name__ for leg in legs] == ["Level", "Opening", "Level"]


@pytest.mark.parametrize(
    "turn,expected",
    [
        ("turn: 90", ("single", "run-on", "end")),
        ("{turn: 90, corner: single, rail: miter}", ("single", "miter", "end")),
        ("{turn: 90, corner: pair}", ("pair", "run-on", "end")),
        ("{turn: 90, corner: pair, rail: butt}", ("pair", "butt", "end")),
        ("{turn: 90, corner: pair, rail: return, cables: end}", ("pair", "return", "end")),
        ("{turn: 90, corner: pair-through}", ("pair-through", "miter", "end")),
        ("{turn: 90, corner: pair-through, cables: pass}", ("pair-through", "miter", "pass")),
        ("{turn: 90, corner: pair-through, rail: run-on}", ("pair-through", "run-on", "end")),
        ("{turn: 0, corner: single, cables: pass}", ("single", "run-on", "pass")),
    ],
)
def test_corners(tmp_path: Path, turn: str, expected: tuple[str, str, str]) -> None:
    corner = run_of(tmp_path, f"level: 12 ft\n{turn}\nlevel: 9 ft").legs[1]
    assert isinstance(corner, Turn)
    assert (corner.corner, corner.rail, corner.cables) == expected


def test_one_post_beside_a_stair_is_read_wherever_it_stands(tmp_path: Path) -> None:
    # geometry.md B and C lay all of them out.
    stair = "stair: {risers: 7, rise: 4 ft, tread: 11 in}"
    for legs in (
        f"level: 4 ft\nturn: 90\n{stair}",
        f"level: 4 ft\n{stair}\nlevel: 4 ft",
        f"{stair}\n{{turn: -45, corner: single}}\nlevel: 4 ft",
        f"{stair}\nlevel: 3 ft\n{stair}",
    ):
        assert len(run_of(tmp_path, legs).legs) == 3 + legs.count("\n") - 2


def test_ends_shared_with_an_earlier_run(tmp_path: Path) -> None:
    job = read(
        tmp_path,
        "runs:\n"
        "  - legs: [level: 12 ft]\n"
        "  - {start: {x: 12 ft, end: shared}, legs: [level: 9 ft], end: shared}\n",
    )
    first, second = job.runs
    assert (first.start.end, first.end) == ("wall", "free")
    assert (second.start.end, second.end) == ("shared", "shared")


SQUARE = "level: 12 ft\nturn: 90\nlevel: 9 ft\nturn: 90\nlevel: 12 ft\nturn: 90\nlevel: 9 ft"


@pytest.mark.parametrize(
    "closed,expected",
    [
        ("single", ("single", "run-on")),
        ("pair", ("pair", "run-on")),
        ("pair-through", ("pair-through", "miter")),
        ("{}", ("single", "run-on")),
        ("{corner: pair, rail: return}", ("pair", "return")),
        ("{corner: pair-through}", ("pair-through", "miter")),
    ],
)
def test_a_closed_run(tmp_path: Path, closed: str, expected: tuple[str, str]) -> None:
    corner = run_of(tmp_path, SQUARE, f"    closed: {closed}\n").closed
    assert corner is not None
    assert (corner.path, corner.angle_deg) == ("runs[0].closed", 90.0)
    assert (corner.corner, corner.rail, corner.cables) == (*expected, "end")
    assert run_of(tmp_path, SQUARE).closed is None


def test_a_loop_may_have_an_opening_and_close_in_line(tmp_path: Path) -> None:
    legs = SQUARE.replace("level: 12 ft", "level: 5 ft\nopening: 3 ft\nlevel: 4 ft", 1)
    legs += "\nturn: 90\nlevel: 0.5 in"
    run = run_of(tmp_path, legs, "    closed: single\n")
    assert run.closed == Turn("runs[0].closed", 0.0, "single")


@pytest.mark.parametrize(
    "turns,closing",
    [
        # A simple loop turns once round: 360 degrees (closed form).
        ([90, 90, 90], 90),
        ([-90, -90, -90], -90),
        ([45] * 7, 45),
        ([120, 120], 120),
        ([90, 90, -90, 90, 90], 90),  # an L
        ([90, 90, 90, 90], 0),
        ([360 / 7] * 6, 360 / 7),
        ([0.1] * 3600, 0),
        ([90, 90], 180),
        ([-90, -90], 180),
        ([100, 110, 120], 30),
    ],
)
def test_closing_turn(turns: list[float], closing: float) -> None:
    assert closing_turn(turns) == pytest.approx(closing, abs=1e-9)


def test_an_exact_loop_closes_exactly() -> None:
    assert closing_turn([90.0, 90.0, 90.0]) == 90.0
    assert closing_turn([0.1] * 3600) == 0.0
