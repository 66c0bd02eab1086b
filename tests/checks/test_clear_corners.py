"""Corners, ends and transitions whose parts must all find room: no clash, no missed hole, no gap.

Each of these jobs is laid out by the rules of the trade and can be built as it comes out.
"""

from __future__ import annotations

import pytest

from generator.checks import run
from generator.layout import layout
from generator.parts.build import assemble

FLEXIBLE = {"cable": "ss316-7x7-1_8"}


def stair(risers=7, rise=1219.2, tread=279.4, **more):
    return {"stair": {"risers": risers, "rise": rise, "tread": tread, **more}}


def ramp(rise, length=3000):
    return {"ramp": {"length": length, "rise": rise}}


def turn(angle, corner="single", **more):
    return {"turn": angle, "corner": corner, **more}


LEVEL = {"level": 3000}
PASS = turn(0, cables="pass")
THROUGH = "pair-through"

JOBS = {
    "level, level in line": [LEVEL, LEVEL],
    "passing one post, level": [LEVEL, PASS, LEVEL],
    "passing one post, onto a ramp": [LEVEL, PASS, ramp(-300)],
    "carried in line down a stair": [LEVEL, turn(0, THROUGH, rail="run-on"), stair()],
    "carried round a corner": [LEVEL, turn(90, THROUGH, rail="miter"), LEVEL],
    "carried round a corner onto a ramp": [LEVEL, turn(-60, THROUGH, rail="run-on"), ramp(-300)],
    "carried round two corners": [LEVEL, turn(45, THROUGH), LEVEL, turn(45, THROUGH), LEVEL],
    "one post down a stair": [LEVEL, stair()],
    "one post up a stair": [LEVEL, stair(direction="up"), LEVEL],
    "one post at the foot of a stair": [stair(), LEVEL],
    "one post at a turned head": [LEVEL, turn(-90), stair()],
    "two posts at a turned head": [LEVEL, turn(-90, "pair"), stair()],
    "two posts at a slightly turned foot": [stair(), turn(15, "pair"), LEVEL],
    "one post where a ramp flattens": [ramp(300), ramp(30)],
    "one post on a drained edge": [{"level": 4000, "fall": 40}, LEVEL],
    "one post up and down a ramp": [ramp(300), turn(90), ramp(-300)],
    "one post between a level and a turned ramp": [LEVEL, turn(-89), ramp(-400)],
    "one post at 60": [LEVEL, turn(60), LEVEL],
    "one post at 135": [LEVEL, turn(135), LEVEL],
    "two posts at 30, butted": [LEVEL, turn(30, "pair", rail="butt"), LEVEL],
    "two posts at 120, returned": [LEVEL, turn(120, "pair", rail="return"), LEVEL],
    "a step of one riser": [LEVEL, stair(1, 170), LEVEL],
    "a step of two risers": [LEVEL, stair(2, 340), LEVEL],
    "an opening": [LEVEL, {"opening": 914.4}, LEVEL],
    "an opening at the head of a stair": [LEVEL, {"opening": 914.4}, stair()],
}


def clashes(job):
    found = run(assemble(layout(job))).findings
    return {
        (f.code, f.where)
        for f in found
        if f.severity != "note" and (f.code.startswith("clash.") or f.code == "miter.gap")
    }


@pytest.mark.parametrize("deck", ["left", "right"])
@pytest.mark.parametrize("name", JOBS)
def test_everything_finds_room(job_of, name, deck):
    legs = JOBS[name]
    if deck == "right":
        legs = [{**item, "turn": -item["turn"]} if "turn" in item else item for item in legs]
    measures = {"max_cable_span": 914.4, "edge_inset": 114.3}
    job = job_of(legs, deck=deck, system=FLEXIBLE, structure={"decking": "1 in"}, **measures)
    assert clashes(job) == set()


@pytest.mark.parametrize("transition", ["plumb", "easing", "common"])
@pytest.mark.parametrize("direction", ["down", "up"])
def test_heights_that_differ_find_room(job_of, transition, direction):
    steps = stair(direction=direction)
    legs = [LEVEL, steps] if direction == "down" else [steps, LEVEL]
    measures = {"height": "42 in", "stair_height": "36 in", "transition": transition}
    job = job_of(legs, structure={"decking": "1 in"}, max_cable_span=914.4, **measures)
    assert clashes(job) == set()


@pytest.mark.parametrize("mount", ["fascia", "core"])
@pytest.mark.parametrize("angle", [90, -90, 45])
def test_other_mountings_find_room(job_of, mount, angle):
    legs = [LEVEL, turn(angle, "pair", rail="miter"), LEVEL]
    structure = {"decking": "6 in", "concrete": True}
    assert clashes(job_of(legs, mount=mount, structure=structure, max_cable_span=914.4)) == set()
