"""Relations that values of one profile keep to one another, and measures that it may do without."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from generator.catalog.fields import Field, Value
from generator.frozen import dataclass


@dataclass(frozen=True, slots=True)
class Rule:
    """A relation that values of one profile must keep.

    `keys` are the values that `holds` is given, in that order; a fault is reported at the first.
    """

    keys: tuple[str, ...]
    holds: Callable[..., bool]
    accepted: str

    def kept(self, values: Mapping[str, Value]) -> bool:
        """Whether the relation holds; true where one of its values could not be read."""
        if any(key not in values for key in self.keys):
            return True
        return self.holds(*(values[key] for key in self.keys))


def optional(key: str, meaning: str, dimension: str = "length") -> Field:
    """A measure that is 0 for a profile that has no such thing."""
    return Field(key, meaning, dimension, "not negative", "0 in" if dimension == "length" else "0")


def all_or_none(key: str, others: list[str]) -> tuple[Rule, ...]:
    """Rules that `others` are above zero where `key` is, and 0 where it is 0."""
    return tuple(
        Rule(
            (other, key),
            lambda value, leading: (value > 0) == (leading > 0),
            f"above zero where {key} is, and 0 where it is 0",
        )
        for other in others
    )
