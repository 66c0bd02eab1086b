"""Assesses a whole job: every post, rail and panel of cables, equal ones once."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from generator.geometry import heading
from generator.parts.assembly import Assembly, LegLine
from generator.spec.job import Job, StrengthInputs
from generator.strength.anchors import Fixing
from generator.strength.cables import PanelWork
from generator.strength.factors import basis_of
from generator.strength.loads import Loads, loads_of
from generator.strength.post_sheets import PostSheets
from generator.strength.posts import Tensions
from generator.strength.rail import RailCase, RailWork, rail_case
from generator.strength.read import PanelCase, Reading
from generator.strength.result import Assumption, Check, Member, Schedule, Strength
from generator.strength.steps import Sheet
from generator.strength.tension import tell_infill, tell_seasons

_KINDS = {"end": "end post", "intermediate": "intermediate post", "corner": "corner post"}


def assess(assembly: Assembly) -> Strength:
    """Demands and capacities of a job, with the steps that lead to each.

    Posts, rails and panels that are equal are worked out once; the first stands for all.
    """
    return _Work(assembly).strength()


class _Work:
    def __init__(self, assembly: Assembly) -> None:
        self.assembly, self.job = assembly, assembly.job
        self.loads: Loads = loads_of(self.job)
        self.basis = basis_of(self.job.profiles)
        self.reading = Reading(assembly)
        self.panels = {
            posts: (marks, self.reading.panel(posts, marks))
            for posts, marks in self.reading.panels().items()
        }
        self.tensions = self._tensions()
        # By the place of the case in memory: equal ones are one object.
        self.sheets: dict[int, PostSheets] = {}
        for case in self.reading.posts.values():
            if id(case) not in self.sheets:
                work = PostSheets(self.job, case, self.loads, self.tensions)
                self.sheets[id(case)] = work

    def strength(self) -> Strength:
        """Everything, in the order post, rail, cables."""
        cables, schedules = self._cables()
        return Strength(
            members=(*self._posts(), *self._rails(), *self._handrails(), *cables),
            schedules=schedules,
            assumptions=assumptions(self.job),
            unproved=tuple(self._unproved()),
        )

    def _tensions(self) -> Tensions:
        """Of the job's cable: tightest, and pushed aside at the widest spacing."""
        sheet = Sheet(self.basis)
        tell_seasons(sheet, self.job)
        cases = [case for _, case in self.panels.values()]
        if not self.loads.infill_n or not cases:
            return Tensions(sheet["T_max"], sheet["T_max"], 0)
        widest = max(case.spacing_mm for case in cases) or self.loads.side_mm
        tell_infill(sheet, self.loads, widest, max(case.span_mm for case in cases))
        return Tensions(sheet["T_max"], sheet["T_i"], int(sheet["n_i"]))

    def _posts(self) -> Iterator[Member]:
        alike: dict[int, list[str]] = defaultdict(list)
        for mark, case in self.reading.posts.items():
            alike[id(case)].append(mark)
        for place, marks in alike.items():
            work = self.sheets[place]
            checks = (
                work.bending(Sheet(self.basis)),
                work.deflection(Sheet(self.basis)),
                *Fixing(work).checks(),
            )
            yield Member(_KINDS[work.case.role], tuple(marks), checks)

    def _rails(self) -> Iterator[Member]:
        alike: dict[tuple[RailCase, tuple[int, int] | None], list[str]] = defaultdict(list)
        for leg in self.assembly.legs:
            height = self._height(leg)
            case = rail_case(self.assembly, leg, height)
            if case is not None:
                alike[case, self._prop(leg)].append(leg.rails[0])
        for (case, prop), marks in alike.items():
            post = (self.sheets[prop[0]], prop[1]) if prop else None
            work = RailWork(self.job, case, self.loads, post)
            yield Member("rail", tuple(marks), tuple(work.checks()))

    def _handrails(self) -> Iterator[Member]:
        if self.job.handrail is None:
            return
        from generator.strength.brackets import handrail_cases, handrail_demands  # few have one

        for case, marks in handrail_cases(self.assembly).items():
            checks = tuple(handrail_demands(case, Sheet(self.basis), self.loads))
            yield Member("handrail", tuple(marks), checks)

    def _height(self, leg: LegLine) -> float:
        """Least height of a leg's rail over where its posts are held."""
        tops = [self.reading.posts[m].top_mm for m in leg.posts if m in self.reading.posts]
        return min(tops, default=self.job.guard.height_mm)

    def _prop(self, leg: LegLine) -> tuple[int, int] | None:
        """Of the posts of a leg, the one that puts the greatest thrust into its rail.

        Its place among the sheets, and which group of its cables pulls along the leg.
        """
        if self.job.strength.propping != "rail":
            return None
        found: list[tuple[float, int, int]] = []
        for mark in (leg.posts[0], leg.posts[-1]):
            case = self.reading.posts.get(mark)
            for k, pulls in enumerate(case.pulls if case else ()):
                assert case is not None
                x, y, _ = self.assembly.by_mark[mark].place.local_vector(heading(leg.bearing_deg))
                if abs(x * pulls.way[0] + y * pulls.way[1]) > 1.0 - 1e-6:
                    found.append((self.sheets[id(case)].thrust(k)[0], id(case), k))
        worst = max(found, key=lambda one: one[0], default=None)
        return worst and worst[1:]

    def _cables(self) -> tuple[list[Member], tuple[Schedule, ...]]:
        alike: dict[PanelCase, list[tuple[tuple[str, ...], tuple[str, ...]]]] = defaultdict(list)
        for posts, (marks, case) in self.panels.items():
            alike[case].append((posts, marks))
        members: list[Member] = []
        schedules: list[Schedule] = []
        for case, found in alike.items():
            work = PanelWork(self.job, case, self.loads)
            schedule = work.schedule(tuple(posts for posts, _ in found), found[0][1])
            schedules.append(schedule)
            marks = tuple(mark for _, panel in found for mark in panel)
            checks: tuple[Check, ...] = tuple(work.checks(schedule))
            members.append(Member("cables", marks, checks))
        return members, tuple(schedules)

    def _unproved(self) -> Iterator[str]:
        """What was not worked out, for people."""
        existing = [
            part.mark
            for part in self.assembly.of_kind("post", "column")
            if part.mark not in self.reading.posts and part.mark.startswith("P")
        ]
        if existing:
            yield f"{', '.join(existing)} stand there already and are not worked out"
        structure = self.job.structure
        joists = structure.joists if structure else None
        if structure is None:
            yield "what the posts stand on is not told: pull and shear of anchors are stated only"
        elif structure.concrete:
            yield "anchors and cores in concrete are stated only: their approval has to show them"
        elif joists is None:
            yield "no joists are told: pull and shear of anchors are stated only"
        elif joists.species not in self.basis.woods:
            known = ", ".join(self.basis.woods)
            yield (
                f"the wood {joists.species} is not known here (known: {known}): "
                "pull and shear of anchors are stated only"
            )
        yield (
            "what holds a bracket on its post or a handrail on its brackets is stated only: the "
            "approval of the bracket and the section of the handrail have to show it"
        )
        yield (
            "spacers are not worked out: they stand on nothing and go with the cables, which carry "
            "the load on the infill from post to post without them"
        )
        if structure and joists and self.job.system.anchor.style == "through-bolt":
            yield (
                "washers under nuts are taken to bear whole: where wood ends nearer to a bolt, as "
                "noted under anchor.edge, what they carry is not worked out"
            )
        if "load.top" not in self.loads.limits:
            yield "the rule set states no concentrated load along the top"


_ADVERSE = StrengthInputs()
_MEANINGS = {
    "propping": "whether the top rail props end posts against the cables",
    "base": "bases of propped posts: fixed, giving, or fixed and hinged, whichever is worse",
    "base_give_deg": "how far a base turns under the load at the top, degrees",
    "rail": "spans of the rail, simple or continuous",
    "duration": "duration factor of wood",
    "moisture": "wood in service",
    "weld_mm": "leg of the fillet round a post, mm; none: as thick as its wall",
    "filler": "filler of aluminium welds",
    "relaxation": "share of its tension that a cable loses after the last pull",
}


def assumptions(job: Job) -> tuple[Assumption, ...]:
    """What the calculation takes for granted, as the job says it or by its adverse default."""
    found = []
    for key, meaning in _MEANINGS.items():
        value = getattr(job.strength, key)
        adverse = value == getattr(_ADVERSE, key)
        found.append(Assumption(key, "none" if value is None else str(value), adverse, meaning))
    friction = job.rules.limit("practice.friction")
    found.append(
        Assumption("friction", friction.text, friction.stated_in == "practice", friction.note)
    )
    return tuple(found)
