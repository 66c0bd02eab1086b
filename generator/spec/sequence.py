"""Order of runs and legs: names, what may stand between legs, ends, and where a path closes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from pydantic_core import PydanticCustomError

from generator.spec.fields import read_turn
from generator.spec.plain import Plain
from generator.textfile import Place

_BETWEEN = ("turn", "opening")
_TURN_NOISE_DEG = 1e-9


def sequence_problems(source: Plain) -> None:
    """Note everything that is wrong with the order of runs and legs."""
    _run_ids(source)
    for run, item in enumerate(source.items(("runs",))):
        legs: Place = ("runs", run, "legs")
        kinds = source.kinds(legs)
        closed = isinstance(item, dict) and item.get("closed") is not None
        _order(source, legs, kinds)
        _stairs(source, legs, kinds, closed)
        for index, kind in enumerate(kinds):
            if kind == "turn":
                _corner(source, (*legs, index))
        _ends(source, run, closed)
        if closed:
            _closing(source, run, kinds)


def run_id(read: object, index: int) -> str:
    """Name of a run: the one given, or else A, B, C by its place."""
    if read is not None:
        return str(read)
    return chr(ord("A") + index) if index < 26 else f"R{index + 1}"


def closing_turn(turns_deg: Sequence[float]) -> float:
    """The turn at which a path that comes back to its start closes, from its other turns, degrees.

    What is left of a full turn, above -180 and at most 180, left positive.
    """
    left = math.remainder(-math.fsum(turns_deg), 360.0)
    if abs(left) < _TURN_NOISE_DEG:
        return 0.0
    return 180.0 if left == -180.0 else left


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


def _order(source: Plain, legs: Place, kinds: Sequence[str | None]) -> None:
    """A run begins and ends with a leg; between two legs stands one turn or one opening."""
    accepted = "a leg, level, ramp or stair, at both ends of a run"
    if kinds and kinds[0] in _BETWEEN:
        source.refuse((*legs, 0), accepted, f"{_an(kinds[0])} at the start of the run")
    if len(kinds) > 1 and kinds[-1] in _BETWEEN:
        source.refuse((*legs, len(kinds) - 1), accepted, f"{_an(kinds[-1])} at the end of the run")
    for index in range(1, len(kinds)):
        before, kind = kinds[index - 1], kinds[index]
        if before not in _BETWEEN or kind not in _BETWEEN:
            continue
        if before == kind:
            source.refuse((*legs, index), f"a leg between two {kind}s", f"a second {kind}")
        else:
            accepted = "a leg between a turn and an opening"
            source.refuse((*legs, index), accepted, f"{_an(kind)} straight after {_an(before)}")


def _an(kind: str | None) -> str:
    return "an opening" if kind == "opening" else f"a {kind}"


def _stairs(source: Plain, legs: Place, kinds: Sequence[str | None], closed: bool) -> None:
    """A stair needs a landing before the next one."""
    items = [(index, kind) for index, kind in enumerate(kinds) if kind != "turn"]
    pairs = list(pairwise(items))
    if closed and len(items) > 1:
        pairs.append((items[-1], items[0]))
    for (_, before), (index, kind) in pairs:
        if before == kind == "stair":
            accepted = "a level leg between two stairs"
            source.refuse((*legs, index), accepted, "a stair straight after a stair")


def _corner(source: Plain, path: Place) -> None:
    """What a turn says of rails and cables must suit its kind of corner."""
    turn = source.at(path)
    if isinstance(turn, Mapping):
        kind = turn.get("corner", "single")
        _single_rail(source, path, turn.get("rail"), kind)
        if kind == "pair-through" and turn.get("cables") == "end":
            source.refuse((*path, "cables"), "pass, or corner: pair: cables go on round this pair")
        elif kind == "pair" and turn.get("cables") == "pass":
            source.refuse((*path, "cables"), "end, or corner: pair-through, round which they pass")
        elif kind == "single" and turn.get("cables") == "pass" and _angle(turn.get("turn")) != 0:
            source.refuse((*path, "cables"), "end, or turn: 0: cables pass a single post in line")


def _single_rail(source: Plain, path: Place, rail: object, corner: object) -> None:
    if corner == "single" and rail in ("run-on", "butt", "return"):
        accepted = "miter, or two posts by corner: pair: rails over one post are mitered"
        source.refuse((*path, "rail"), accepted)


def _angle(read: object) -> float:
    """The angle of a turn; 0 where none can be read, which the models report."""
    try:
        return read_turn(read)
    except PydanticCustomError:
        return 0.0


def _ends(source: Plain, run: int, closed: bool) -> None:
    """Ends that a run cannot have: of a loop any, of the first run one that it shares."""
    for path in _ends_given(source, run):
        if closed:
            accepted = "no end: a run that is closed has none"
            source.refuse(path, accepted)
        elif run == 0 and source.at(path) == "shared":
            accepted = "wall or free: there is no earlier run whose end post it could share"
            source.refuse(path, accepted)


def _ends_given(source: Plain, run: int) -> Iterator[Place]:
    for around in (("runs", run, "start"), ("runs", run)):
        mapping = source.at(around)
        if isinstance(mapping, dict) and "end" in mapping:
            yield (*around, "end")


def _closing(source: Plain, run: int, kinds: Sequence[str | None]) -> None:
    """The corner at which a loop closes must be one that can be built."""
    path: Place = ("runs", run, "closed")
    closing = source.at(path)
    if isinstance(closing, Mapping):
        _single_rail(source, path, closing.get("rail"), closing.get("corner", "single"))
    turns = []
    for index, kind in enumerate(kinds):
        if kind == "turn":
            read = source.at(("runs", run, "legs", index, "turn"))
            try:
                turns.append(read_turn(read))
            except PydanticCustomError:
                return  # the models report it
    angle = closing_turn(turns)
    try:
        read_turn(angle)
    except PydanticCustomError:
        accepted = "turns that leave 0, or 5 to 175 degrees to either side, from last leg to first"
        source.refuse(path, accepted, f"a closing turn of {angle:.6g} degrees")
