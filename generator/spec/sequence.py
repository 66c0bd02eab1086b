"""Order of runs and legs: names, turns between legs, and which legs can follow one another.

What stands here of corners is what the layout lays out; it is told with its place in the file.
"""

from __future__ import annotations

from typing import Any, cast

from pydantic_core import PydanticCustomError

from generator.spec.fields import read_turn
from generator.spec.plain import Plain
from generator.textfile import Place


def sequence_problems(source: Plain) -> None:
    """Note everything that is wrong with the order of runs and legs."""
    _run_ids(source)
    for run, _ in enumerate(source.items(("runs",))):
        legs: Place = ("runs", run, "legs")
        _order(source, legs)
        _corners(source, legs)


def run_id(read: object, index: int) -> str:
    """Name of a run: the one given, or else A, B, C by its place."""
    if read is not None:
        return str(read)
    return chr(ord("A") + index) if index < 26 else f"R{index + 1}"


def _run_ids(source: Plain) -> None:
    first: dict[str, int] = {}
    for index, run in enumerate(source.items(("runs",))):
        read = run.get("id") if isinstance(run, dict) else None
        if isinstance(read, dict | list):
            continue
        name = run_id(read, index)
        if name in first:
            accepted = f"a name of its own; runs[{first[name]}] has this one"
            source.refuse(("runs", index, "id"), accepted, f"the id {name}")
        first.setdefault(name, index)


def _order(source: Plain, legs: Place) -> None:
    kinds = source.kinds(legs)
    accepted = "a leg, level or stair, at both ends of a run"
    if kinds and kinds[0] == "turn":
        source.refuse((*legs, 0), accepted, "a turn at the start of the run")
    if len(kinds) > 1 and kinds[-1] == "turn":
        source.refuse((*legs, len(kinds) - 1), accepted, "a turn at the end of the run")
    for index in range(1, len(kinds)):
        if kinds[index - 1] == kinds[index] == "turn":
            source.refuse((*legs, index), "a leg between two turns", "a second turn")


def _corners(source: Plain, legs: Place) -> None:
    """Corners beside stairs: those that have a layout."""
    kinds = source.kinds(legs)
    for first, kind in enumerate(kinds):
        turned = first + 1 < len(kinds) and kinds[first + 1] == "turn"
        second = first + 2 if turned else first + 1
        if kind not in ("level", "stair") or second >= len(kinds):
            continue
        pair = (kind, kinds[second])
        if pair == ("stair", "stair"):
            accepted = "a level leg between two stairs"
            source.refuse((*legs, second), accepted, "a stair straight after a stair")
        elif pair in (("stair", "level"), ("level", "stair")):
            _beside_stair(source, legs, first, second)


def _beside_stair(source: Plain, legs: Place, first: int, second: int) -> None:
    """One post stands between a level leg and a stair only where they go straight on, above."""
    turn = cast(Any, source.at((*legs, first + 1))) if second > first + 1 else {}
    if turn.get("corner", "single") != "single" or turn.keys() - {"turn", "corner"}:
        return  # two posts, or a key that the models report and that may have meant them
    try:
        angle = read_turn(turn.get("turn", 0))
    except PydanticCustomError:
        return  # the models report it
    place: Place = (*legs, first + 1, "corner") if turn else (*legs, second)
    if angle != 0:
        source.refuse(place, "corner: pair", "one post where a stair turns off")
    elif not _upper(source, legs, first, second):
        source.refuse(place, "a turn: 0 with corner: pair", "one post at the foot of a stair")


def _upper(source: Plain, legs: Place, first: int, second: int) -> bool:
    """Whether the stair of two legs meets the level one at its upper end."""
    goes_up = False
    stair_first = source.kinds(legs)[first] == "stair"
    flight = source.at((*legs, first if stair_first else second, "stair"))
    if isinstance(flight, dict):
        goes_up = flight.get("direction", "down") == "up"
    return goes_up == stair_first
