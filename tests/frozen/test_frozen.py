"""The quick maker of frozen classes against the standard library's own `dataclass`."""

from __future__ import annotations

import copy
import dataclasses
import pickle

import pytest

from generator.frozen import dataclass


@dataclass(frozen=True, slots=True, order=True)
class Quick:
    """Made by the tool."""

    x: float
    y: str = "b"


@dataclasses.dataclass(frozen=True, slots=True, order=True)
class Standard:
    """Made by the standard library."""

    x: float
    y: str = "b"


@dataclass(frozen=True, slots=True)
class Longer(Quick):
    """With a field of its own after those it inherits."""

    z: int = 3

    def __post_init__(self) -> None:
        if self.z < 0:
            raise ValueError("negative")


@dataclass(frozen=True)
class Open:
    """Without slots, for what is worked out once and kept."""

    x: float


@pytest.mark.parametrize("made", [Quick, Standard])
def test_fields_defaults_and_text(made: type) -> None:
    thing = made(1.5)
    assert [f.name for f in dataclasses.fields(made)] == ["x", "y"]
    assert repr(thing) == f"{made.__name__}(x=1.5, y='b')"
    assert dataclasses.replace(thing, y="c") == made(1.5, "c")
    assert not hasattr(thing, "__dict__")
    match thing:
        case Quick(x, y) | Standard(x, y):
            assert (x, y) == (1.5, "b")


@pytest.mark.parametrize("made", [Quick, Standard])
def test_equal_hash_and_order(made: type) -> None:
    assert made(1.0) == made(1.0) != made(2.0)
    assert hash(made(1.0)) == hash(made(1.0))
    assert sorted([made(2.0), made(1.0, "c"), made(1.0)]) == [made(1.0), made(1.0, "c"), made(2.0)]
    assert made(1.0) != (1.0, "b")


@pytest.mark.parametrize("thing", [Quick(1.0), Standard(1.0), Open(1.0), Longer(1.0)])
def test_nothing_can_be_written(thing: object) -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        thing.x = 2.0  # type: ignore[attr-defined]
    with pytest.raises(dataclasses.FrozenInstanceError):
        del thing.x  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    "call", [lambda made: made(), lambda made: made(1, 2, 3, 4), lambda made: made(1, w=2)]
)
@pytest.mark.parametrize("made", [Quick, Standard, Longer])
def test_wrong_calls_are_refused(made: type, call) -> None:
    with pytest.raises(TypeError):
        call(made)


def test_inherited_fields_come_first_and_the_last_word_is_the_class_own() -> None:
    assert Longer(1.0, "c", 4) == Longer(1.0, "c", 4) != Longer(1.0, "c", 5)
    assert Longer(1.0) != Quick(1.0)
    with pytest.raises(ValueError, match="negative"):
        Longer(1.0, z=-1)


@pytest.mark.parametrize("thing", [Quick(1.0, "c"), Open(1.0), Longer(1.0, "c", 9)])
def test_copies_and_pickles_are_equal(thing: object) -> None:
    assert copy.deepcopy(thing) == thing
    assert pickle.loads(pickle.dumps(thing)) == thing


def test_a_field_can_be_left_out_of_comparison() -> None:
    @dataclass(frozen=True, slots=True)
    class Told:
        x: float
        how: str = dataclasses.field(default="a", compare=False)

    assert Told(1.0) == Told(1.0, "b") != Told(2.0)
    assert hash(Told(1.0)) == hash(Told(1.0, "b"))


def test_what_it_cannot_make_is_refused() -> None:
    with pytest.raises(TypeError, match="frozen"):
        dataclass(frozen=False, slots=True)
    with pytest.raises(TypeError, match="only plain fields"):

        @dataclass(frozen=True, slots=True)
        class _Listed:
            x: list[int] = dataclasses.field(default_factory=list)
