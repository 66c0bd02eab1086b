"""What a calculation of strength hands on: members, checks with their steps, pulling schedules."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property

from generator.frozen import dataclass
from generator.strength.steps import Source, Step

WITH_THRUST = "bending with thrust"
MOST = 1000.0
"""The greatest utilisation that is told; that of a demand which nothing holds."""


@dataclass(frozen=True, slots=True)
class Check:
    """One demand against one capacity, both in `unit`.

    `code` is the finding's, `name` the trade's word for what is checked; `case` the loads, `place`
    where on the member. Without a `capacity` the demand is only stated: its capacity is for others
    to show. `steps` lead to both, in order; `steps[-1]` need not be the last of either.
    """

    code: str
    name: str
    case: str
    place: str
    demand: float
    capacity: float | None
    unit: str
    source: Source
    steps: Sequence[Step]

    @property
    def utilisation(self) -> float:
        """Demand over capacity; 0 where the demand is only stated, the most where nothing holds."""
        if self.capacity is None or self.demand <= 0.0:
            return 0.0
        return min(self.demand / self.capacity, MOST) if self.capacity > 0.0 else MOST

    @property
    def fails(self) -> bool:
        """Whether the demand is more than the capacity, beyond rounding."""
        return self.utilisation > 1.0 + 1e-9

    @property
    def stated_only(self) -> bool:
        """Whether nothing is proved: the demand is told for others to meet."""
        return self.capacity is None


@dataclass(frozen=True, slots=True)
class Member:
    """A post, the rail of a leg or the cables of a panel, with all parts that are alike.

    `kind` is one of end post, intermediate post, corner post, rail, handrail, cables; `marks` are
    the parts, the first of which stands for all.
    """

    kind: str
    marks: tuple[str, ...]
    checks: tuple[Check, ...]

    @property
    def mark(self) -> str:
        """The part that stands for all."""
        return self.marks[0]

    @property
    def buckles(self) -> bool:
        """Whether it is a rail that does not bear its thrust."""
        return any(check.code == "rail.strut" and check.fails for check in self.checks)

    @property
    def worst(self) -> Check | None:
        """The check with the greatest utilisation."""
        proved = [check for check in self.checks if not check.stated_only]
        return max(proved, key=lambda check: check.utilisation, default=None)


@dataclass(frozen=True, slots=True)
class Pull:
    """One turn of the wrench: the cable (0 is the lowest) is set to this tension, N."""

    cable: int
    tension_n: float


@dataclass(frozen=True, slots=True)
class Schedule:
    """How the cables of a panel are pulled so that all end at the target.

    `marks` from the bottom up, `order` in words (bottom up, top down, from the middle) of each of
    `passes` passes, `pulls` one by one, `final_n` the tension of each when all are done;
    `even_n` is the least tension that is left where each cable is simply set to the target, after
    one pass, two, and so on. `threads_start` and `threads_end` stand out of the nut of each pulled
    end before and after, `takeup_mm` is what each end takes up.
    """

    panels: tuple[tuple[str, ...], ...]
    marks: tuple[str, ...]
    order: str
    passes: int
    target_n: float
    pulls: tuple[Pull, ...]
    final_n: tuple[float, ...]
    even_n: tuple[float, ...]
    takeup_mm: tuple[float, ...]
    threads_start: float
    threads_end: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Assumption:
    """One thing taken for granted; `adverse`: the unfavourable default holds."""

    key: str
    value: str
    adverse: bool
    meaning: str


@dataclass(frozen=True)
class Strength:
    """All members of a job, the schedules of its cables, and what was taken for granted.

    `unproved` says in plain words what was not worked out, and why.
    """

    members: tuple[Member, ...]
    schedules: tuple[Schedule, ...]
    assumptions: tuple[Assumption, ...]
    unproved: tuple[str, ...]

    def checks(self) -> Iterator[tuple[Member, Check]]:
        """Every check with its member."""
        return ((member, check) for member in self.members for check in member.checks)

    @cached_property
    def causes(self) -> dict[str, str]:
        """Codes that fail only because another does, each with that other.

        A rail that buckles under its thrust cannot bend as well: the formula of both holds the
        first. What bends too much without any thrust fails by itself.
        """
        own = [
            check
            for member in self.members
            for check in member.checks
            if check.code == "rail.bending" and not (check.name == WITH_THRUST and member.buckles)
        ]
        if "rail.bending" not in self.worst or self.worst["rail.bending"][1] in own:
            return {}
        return {} if any(check.fails for check in own) else {"rail.bending": "rail.strut"}

    @cached_property
    def worst(self) -> dict[str, tuple[Member, Check]]:
        """For each code the member and check with the greatest utilisation, if any is proved."""
        found: dict[str, tuple[Member, Check]] = {}
        for member, check in self.checks():
            if check.stated_only:
                continue
            if check.code not in found or check.utilisation > found[check.code][1].utilisation:
                found[check.code] = (member, check)
        return found
