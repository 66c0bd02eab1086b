"""Posts under cables and loads: bending at the worst level, deflection at the top.

A post stands fixed at its base. Where the rail props it the thrust of the rail is worked out; the
base is then taken fixed, and hinged as well if the job does not say that it is fixed.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cached_property, lru_cache
from typing import Literal

from generator.catalog.tables import Material
from generator.frozen import dataclass
from generator.parts.shapes import Hole, Rectangle, Section
from generator.spec.job import Job
from generator.strength.beams import moment_at, prop_force
from generator.strength.factors import Basis, basis_of
from generator.strength.loads import LoadCase, Loads
from generator.strength.materials import bending_stress, tell_material, weld_stress
from generator.strength.read import PostCase, Pulls
from generator.strength.sections import Axis, Values, drilled_values, section_values
from generator.strength.steps import Sheet, Source
from generator.strength.tension import material_of

Fixity = Literal["fixed", "giving", "hinged"]

_SPEC = Source("job spec", "job spec", True)
_PROP = Source("statics", "propped cantilever", True)


@dataclass(frozen=True, slots=True)
class Tensions:
    """Tension of a cable when tightest, and of the `pushed` cables under the infill load, N."""

    tight_n: float
    pushed_n: float
    pushed: int


@dataclass(frozen=True, slots=True)
class Level:
    """A height over the root with what is left of the section there."""

    z_mm: float
    axes: tuple[Axis, Axis]
    area: float
    welded: bool
    words: str


@dataclass(frozen=True, slots=True)
class Governing:
    """The loads, fixity and level at which a post is stressed most; `live` acts at the top, N."""

    case: LoadCase
    fixity: Fixity
    live: tuple[float, float]
    down_n: float
    level: Level
    ratio: float


@lru_cache(maxsize=4096)
def levels(
    section: Section, holes: tuple[Hole, ...], root_mm: float, heat_mm: float
) -> tuple[Level, ...]:
    """Where the stress is looked at: the root, the end of the weld's heat, every drilled hole.

    `heat_mm` is how far the heat of a weld at the root reaches, 0 where there is none.
    """
    welded = heat_mm > 0.0
    whole = section_values(section)
    gross = (whole.about_x, whole.about_y)
    found = [Level(0.0, gross, whole.area, welded, "at its base")]
    if welded:
        found.append(Level(heat_mm, gross, whole.area, False, "above the heat of the weld"))
    for hole in holes:
        z = hole.along_mm - root_mm
        if z <= 0.0:
            continue
        cut = [one for one in holes if abs(one.along_mm - hole.along_mm) < one.height_mm / 2]
        net = _net(section, tuple(replace(one, along_mm=0.0) for one in cut))
        near = welded and z < heat_mm
        found.append(Level(z, (net.about_x, net.about_y), net.area, near, "at a cable's hole"))
    return tuple(found)


@lru_cache(maxsize=4096)
def _net(section: Section, holes: tuple[Hole, ...]) -> Values:
    """What is left at a level; rows of holes that are alike are worked out once."""
    return drilled_values(section, holes)


class PostWork:
    """One post case: its forces in every case of loads, and which of them governs."""

    def __init__(self, job: Job, case: PostCase, loads: Loads, tensions: Tensions) -> None:
        self.job, self.case, self.loads, self.tensions = job, case, loads, tensions
        self.inputs, self.basis = job.strength, basis_of(job.profiles)
        self.material = material_of(job, job.system.post.material)
        self.rail = section_of_rail(job)
        self.rail_modulus = material_of(job, job.system.rail.material).modulus_mpa
        self.propped = self.inputs.propping == "rail"
        # By the place of a group of cables, and whether the infill load is on them.
        self._level: dict[tuple[int, bool], list[float]] = {}
        self._thrusts: dict[tuple[int, bool, Fixity], float] = {}
        values = section_values(case.section)
        self.stiffness = self.material.modulus_mpa * min(
            values.about_x.inertia, values.about_y.inertia
        )

    def fixities(self) -> tuple[Fixity, ...]:
        """How the base is taken to be held, the first of them for what holds it down."""
        if not (self.propped and self.case.pulls):
            return ("fixed",)
        told: dict[str, tuple[Fixity, ...]] = {
            "fixed": ("fixed",),
            "gives": ("giving",),
            "worse": ("fixed", "hinged"),
        }
        return told[self.inputs.base]

    @property
    def turn(self) -> float:
        """How far the base turns under 1 N mm, as the job says for the load at the top."""
        if not self.loads.top_n:
            return 0.0
        return math.radians(self.inputs.base_give_deg) / (self.loads.top_n * self.case.top_mm)

    def row(self, pulls: Pulls, case: LoadCase) -> tuple[float, ...]:
        """Tension of each cable of a group, those at the top pushed aside by the infill load."""
        count = len(pulls.heights_mm)
        pushed = min(self.tensions.pushed, count) if case.way == "infill" else 0
        return (self.tensions.tight_n,) * (count - pushed) + (self.tensions.pushed_n,) * pushed

    def forces(self, pulls: Pulls, case: LoadCase) -> list[float]:
        """Level force of each cable of a group along its leg."""
        key = (id(pulls), case.way == "infill")
        if key not in self._level:
            pairs = zip(self.row(pulls, case), pulls.shares, strict=True)
            self._level[key] = [t * share for t, share in pairs]
        return self._level[key]

    def prop(self, pulls: Pulls, case: LoadCase, fixity: Fixity) -> float:
        """Thrust in the rail that keeps the post's top from going with its cables, N."""
        if not self.propped or pulls.rail_mm == 0.0:
            return 0.0
        key = (id(pulls), case.way == "infill", fixity)
        if key not in self._thrusts:
            self._thrusts[key] = self._prop(pulls, case, fixity)
        return self._thrusts[key]

    def _prop(self, pulls: Pulls, case: LoadCase, fixity: Fixity) -> float:
        forces, top = self.forces(pulls, case), self.case.rail_mm
        if fixity == "hinged":
            return sum(f * y for f, y in zip(forces, pulls.heights_mm, strict=True)) / top
        give = pulls.rail_mm / (2 * self.rail_modulus * self.rail.area)
        turn = self.turn if fixity == "giving" else 0.0
        return prop_force(forces, pulls.heights_mm, top, self.stiffness, base_rad=turn, give=give)

    def cables_moment(self, case: LoadCase, fixity: Fixity, z_mm: float) -> tuple[float, float]:
        """Moment of all cables and props about the level, as a vector along the forces, N mm."""
        return self._turned(self._groups(case, fixity), z_mm)

    def _groups(
        self, case: LoadCase, fixity: Fixity
    ) -> list[tuple[tuple[float, float], list[float], tuple[float, ...], float]]:
        """Of each leg: direction, pulls of its cables, their heights, thrust of its rail."""
        return [
            (p.way, self.forces(p, case), p.heights_mm, self.prop(p, case, fixity))
            for p in self.case.pulls
        ]

    def _turned(
        self,
        groups: list[tuple[tuple[float, float], list[float], tuple[float, ...], float]],
        z_mm: float,
    ) -> tuple[float, float]:
        x = y = 0.0
        for way, forces, heights, thrust in groups:
            moment = moment_at(forces, heights, thrust, self.case.rail_mm, z_mm)
            x, y = x + moment * way[0], y + moment * way[1]
        return x, y

    def _turned_at(
        self, load: LoadCase, fixity: Fixity, places: Sequence[Level]
    ) -> list[tuple[float, float]]:
        """`cables_moment` at many levels: forces above each, and their moments, are summed once."""
        found = [(0.0, 0.0)] * len(places)
        for way, forces, heights, thrust in self._groups(load, fixity):
            above, turning = [0.0], [0.0]
            for force, y in zip(reversed(forces), reversed(heights), strict=True):
                above.append(above[-1] + force)
                turning.append(turning[-1] + force * y)
            for n, level in enumerate(places):
                z, x_y = level.z_mm, found[n]
                k = len(heights) - bisect_right(heights, z)
                moment = turning[k] - above[k] * z - thrust * (self.case.rail_mm - z)
                found[n] = (x_y[0] + moment * way[0], x_y[1] + moment * way[1])
        return found

    def live(self, case: LoadCase) -> Iterator[tuple[tuple[float, float], float]]:
        """(level load at the top along x and y, load down) in every direction of a case."""
        along_share = 1.0 / self.case.posts if self.propped else 1.0
        across = {"across": self.loads.top_n, "line": self._line(self.loads.line_n_mm)}
        if case.way in across:
            force = across[case.way]
            ways = [(0.0, force), (0.0, -force)]
            if self.case.role == "corner":
                ways += [(force, 0.0), (-force, 0.0)]
            yield from ((way, 0.0) for way in ways)
        elif case.way == "along":
            force = self.loads.top_n * along_share
            yield from (((force, 0.0), 0.0), ((-force, 0.0), 0.0))
        elif case.way == "down":
            yield (0.0, 0.0), self.loads.top_n
        elif case.way == "line-down":
            yield (0.0, 0.0), self._line(self.loads.down_n_mm)
        else:
            yield (0.0, 0.0), 0.0

    def _line(self, per_mm: float) -> float:
        return per_mm * self.case.reach_mm * self._continuity()

    def _continuity(self) -> float:
        if self.case.role != "intermediate":
            return 1.0
        return self.basis.factor("post_continuity").value

    def governing(self) -> Governing:
        """The worst of all cases, fixities, directions and levels."""
        case = self.case
        heat = self.basis.factor("weld_heat").value if case.mount != "core" else 0.0
        places = levels(case.section, case.holes, case.root_mm, heat)
        found: Governing | None = None
        shares = [self._shares(level) for level in places]
        turned: dict[tuple[bool, Fixity], list[tuple[float, float]]] = {}
        for load in self.loads.cases():
            lives = tuple(self.live(load))
            axial = abs(self.axial(load))
            for fixity in self.fixities():
                # Cables pull alike in every case but that of the load on them.
                key = (load.way == "infill", fixity)
                if key not in turned:
                    turned[key] = self._turned_at(load, fixity, places)
                worst = found.ratio if found else -1.0
                for n, (mx, my) in enumerate(turned[key]):
                    # Stress at the corner of the tube over what is allowed there.
                    arm, by_x, by_y, by_axial = shares[n]
                    for live, down in lives:
                        ratio = (
                            abs(mx + live[0] * arm) * by_x
                            + abs(my + live[1] * arm) * by_y
                            + (axial + down) * by_axial
                        )
                        if ratio > worst + 1e-12:
                            worst = ratio
                            found = Governing(load, fixity, live, down, places[n], ratio)
        assert found is not None
        return found

    def _shares(self, level: Level) -> tuple[float, float, float, float]:
        """Arm of the load at the top, and the utilisation of a unit moment each way and force."""
        allowed, (about_x, about_y) = self.allowed[1 if level.welded else 0], level.axes
        return (
            self.case.top_mm - level.z_mm,
            1.0 / (about_y.elastic * allowed),
            1.0 / (about_x.elastic * allowed),
            1.0 / (level.area * allowed),
        )

    @cached_property
    def allowed(self) -> tuple[float, float]:
        """Allowable stress in bending, away from the weld and beside it, MPa."""
        return _allowed(self.basis, self.material, *flat_of(self.case.section))

    def thrust(self, group: int) -> tuple[float, LoadCase, Fixity]:
        """Greatest thrust in the rail of one leg of this post: N, its loads, its fixity."""
        found: list[tuple[float, LoadCase, Fixity]] = [
            (abs(self.prop(self.case.pulls[group], case, fixity)), case, fixity)
            for case in self.loads.cases()
            for fixity in self.fixities()
        ]
        return max(found, key=lambda one: one[0])

    def axial(self, case: LoadCase) -> float:
        """Pull along the post of cables that slope, N, up positive."""
        return sum(
            t * rise
            for pulls in self.case.pulls
            for t, rise in zip(self.row(pulls, case), pulls.rises, strict=True)
        )


@lru_cache(maxsize=64)
def _allowed(
    basis: Basis, material: Material, flat_mm: float, wall_mm: float
) -> tuple[float, float]:
    sheet = Sheet(basis)
    tell_material(sheet, material)
    return sheet[bending_stress(sheet, material, flat_mm, wall_mm)], sheet[weld_stress(sheet)]


def section_of_rail(job: Job) -> Values:
    """Section values of the job's rail."""
    from generator.parts.shapes import tube

    rail = job.system.rail
    return section_values(tube(rail.width_mm, rail.depth_mm, rail.wall_mm, rail.corner_mm))


def flat_of(section: Section) -> tuple[float, float]:
    """(clear width of the wider wall, its thickness) of a rectangular tube."""
    outer, inner = section.outer, section.inner
    assert isinstance(outer, Rectangle)
    if not isinstance(inner, Rectangle):
        return 0.0, min(outer.width_mm, outer.depth_mm)
    wall = (outer.width_mm - inner.width_mm) / 2
    flat = max(inner.width_mm, inner.depth_mm) - 2 * inner.corner_mm
    return flat, wall
