"""Cables of a panel: tension against strength, take-up against thread, and how they are pulled."""

from __future__ import annotations

import math
from collections.abc import Iterator

from generator.catalog.tables import Entry
from generator.spec.job import Job
from generator.strength.beams import post_flexibility
from generator.strength.factors import basis_of
from generator.strength.loads import Loads
from generator.strength.posts import section_of_rail
from generator.strength.pulling import best_plan, even_pulls, orders
from generator.strength.read import PanelCase, PostCase
from generator.strength.result import Check, Schedule
from generator.strength.sections import section_values
from generator.strength.steps import PROFILE, Sheet, Source
from generator.strength.tension import material_of, pushed, tell_infill, tell_seasons

_STRENGTH = Source("common practice", "breaking force times efficiency over the safety", False)
_HALVED = Source("statics", "root of the equilibrium below, found by halving", True)
_SOLVED = Source("statics", "matrix of flexibility of both end posts, solved", True)
_MECHANICS = Source("mechanics", "T L / E A", True)
_CAPSTAN = Source("mechanics", "friction of a rope round a drum", True)
_STUD = Source("", "thread and sleeve of the fitting", True)


class PanelWork:
    """The cables held at the same two posts."""

    def __init__(self, job: Job, case: PanelCase, loads: Loads) -> None:
        self.job, self.case, self.loads = job, case, loads
        self.basis = basis_of(job.profiles)

    def matrix(self):
        """Square matrix, mm/N: stretch of each cable and give of both end posts."""
        import numpy as np

        cable, count = self.job.system.cable, len(self.case.lengths_mm)
        stiffness = cable.modulus_mpa * cable.area_mm2
        total = np.diag(np.asarray(self.case.lengths_mm) / stiffness)
        for end, heights, level in zip(
            self.case.ends, self.case.heights_mm, self._levels(), strict=True
        ):
            if end is not None:
                total = total + level**2 * self._post_gives(end, heights)
        assert total.shape == (count, count)
        return total

    def _levels(self) -> tuple[float, float]:
        """Level parts of the cables' direction at either end."""
        found = []
        for end in self.case.ends:
            shares = [abs(share) for pulls in (end.pulls if end else ()) for share in pulls.shares]
            found.append(max(shares, default=1.0))
        return found[0], found[1]

    def _post_gives(self, end: PostCase, heights: tuple[float, ...]):
        inputs, values = self.job.strength, section_values(end.section)
        modulus = material_of(self.job, self.job.system.post.material).modulus_mpa
        stiffness = modulus * min(values.about_x.inertia, values.about_y.inertia)
        turn = 0.0
        if self.loads.top_n:
            turn = math.radians(inputs.base_give_deg) / (self.loads.top_n * end.top_mm)
        prop = None
        if inputs.propping == "rail":
            rail = material_of(self.job, self.job.system.rail.material)
            area = section_of_rail(self.job).area
            prop = (end.rail_mm, self.case.rail_mm / (2 * rail.modulus_mpa * area))
        return post_flexibility(heights, stiffness, turn, prop)

    def limit_n(self) -> float:
        """Working force of a cable in its fitting."""
        system = self.job.system
        return (
            system.cable.breaking_n
            * system.fitting.efficiency
            / self.basis.factor("cable_safety").value
        )

    def schedule(self, panels: tuple[tuple[str, ...], ...], marks: tuple[str, ...]) -> Schedule:
        """Order, set values and what stands out of the nuts."""
        target = self.job.guard.tension_n
        matrix, fitting = self.matrix(), self.job.system.fitting
        order, passes, plan = best_plan(matrix, target, self.limit_n())
        simple = even_pulls(matrix, orders(len(marks))["bottom up"], target, 3)
        stretch = self.job.system.cable.constructional_stretch
        taken = tuple(
            wound + stretch * length
            for wound, length in zip(plan.wound_mm, self.case.lengths_mm, strict=True)
        )
        return Schedule(
            panels=panels,
            marks=marks,
            order=order,
            passes=passes,
            target_n=target,
            pulls=plan.pulls,
            final_n=plan.final_n,
            even_n=tuple(min(tensions) for tensions in simple),
            takeup_mm=taken,
            threads_start=0.0,
            threads_end=tuple(mm / fitting.thread_pitch_mm for mm in taken),
        )

    # Checks

    def checks(self, schedule: Schedule) -> Iterator[Check]:
        """Tension when tightest, when pulled, under the infill load; take-up; what is left."""
        sheet = Sheet(self.basis)
        tell_seasons(sheet, self.job)
        self._tell_strength(sheet)
        greatest, held = "T_max", ()
        words = "tightest season, no load"
        if self.loads.infill_n:
            tell_infill(sheet, self.loads, self.case.spacing_mm or 1e9, self.case.span_mm)
            greatest, words = "T_i", "infill load with cable tension and temperature"
            held = ("P_e", "P_i", "n_i")
        set_to = "greatest tension that a cable is set to while pulling: see Tensioning"
        sheet.given("T_p", max(p.tension_n for p in schedule.pulls), "N", set_to, _SOLVED)
        for symbol, case, more in (
            (greatest, words, held),
            ("T_p", "while the cables are pulled", ()),
        ):
            yield Check(
                "cable.tension", "tension", case, "cable in its fitting",
                sheet[symbol], sheet["T_w"], "N", _STRENGTH,
                sheet.trace(symbol, "T_w", *more),
            )  # fmt: skip
        yield self._slackest(sheet)
        if self.loads.infill_n:
            yield self._sag(sheet)
        yield self._takeup(sheet, schedule)

    def _tell_strength(self, sheet: Sheet) -> None:
        cable, fitting = self.job.system.cable, self.job.system.fitting
        entry = next((e for e in cable.entries if e.field == "breaking"), None)
        source = _of(cable.name, entry)
        sheet.given("F_min", cable.breaking_n, "N", "least breaking force of the cable", source)
        sheet.given("eta", fitting.efficiency, "", "share of it that the fitting holds", PROFILE)
        sheet.tell(self.basis.factor("cable_safety"))
        sheet.work("T_w", "F_min * eta / n_c", "N", "working force of the cable", _STRENGTH)

    def _slackest(self, sheet: Sheet) -> Check:
        """Least tension of the year, beyond the turns: stated, for what asks for a tension."""
        limit = self.job.rules.limit("practice.friction")
        source = Source(f"{limit.clause}, {limit.edition}", limit.source, limit.verified)
        sheet.given("mu", limit.value, "", "friction of a cable on what it bends over", source)
        sheet.given("beta", self.case.turn_rad, "rad", "all turns of the cable")
        sheet.work("T_far", "T_min * exp(-mu * beta)", "N", "beyond the turns", _CAPSTAN)
        return Check(
            "cable.tension", "slackest of the year", "relaxed, slackest season",
            "at the end that is not pulled", sheet["T_far"], None, "N", _CAPSTAN,
            sheet.trace("T_far"),
        )  # fmt: skip

    def _sag(self, sheet: Sheet) -> Check:
        """Deflection under the infill load of a cable that slides through its supports."""
        free = max(self.case.lengths_mm)
        sheet.given("L_t", free, "mm", "longest cable between its fittings; it slides")
        d = pushed(
            sheet["T_min"], sheet["EA"], self.case.span_mm, free, sheet["P_i"] / sheet["n_i"]
        )
        sheet.given("d_s", d, "mm", "deflection, slackest season",
                    _HALVED)  # fmt: skip
        sheet.work("l_s", "sqrt((L_s / 2)**2 + d_s**2)", "mm", "half of the cable as pushed")
        sheet.work("T_s", "T_min + EA * (2 * l_s - L_s) / L_t", "N", "tension as pushed")
        sheet.work("P_s", "2 * T_s * d_s / l_s", "N", "force that holds it there: the load on each")
        return Check(
            "cable.tension", "deflection under the infill load", "infill load, slackest season",
            "at the middle of the longest span", sheet["d_s"], None, "mm",
            Source("statics", "elastic string", True),
            sheet.trace("d_s", "P_s", "P_i", "n_i"),
        )  # fmt: skip

    def _takeup(self, sheet: Sheet, schedule: Schedule) -> Check:
        """What the pulled end takes up, against thread and the sleeve's way to the post."""
        case, fitting = self.case, self.job.system.fitting
        n = max(range(len(case.lengths_mm)), key=lambda k: schedule.takeup_mm[k])
        cable = self.job.system.cable
        stretch = next((e for e in cable.entries if e.field == "constructional_stretch"), None)
        sheet.given("L_c", case.lengths_mm[n], "mm", "cable between its fittings", PROFILE)
        sheet.given("eps", cable.constructional_stretch, "", "lasting stretch of new cable",
                    _of(cable.name, stretch))  # fmt: skip
        give = (
            schedule.takeup_mm[n]
            - self.job.guard.tension_n * case.lengths_mm[n] / sheet["EA"]
            - cable.constructional_stretch * case.lengths_mm[n]
        )
        sheet.given(
            "g_p", give, "mm", "give of both end posts at this cable: see Tensioning", _SOLVED
        )
        sheet.work(
            "u_c", "T_0 * L_c / EA + eps * L_c + g_p", "mm", "taken up at the end", _MECHANICS
        )
        sheet.given("l_th", fitting.thread_mm, "mm", "thread of the stud", PROFILE)
        sheet.given("h_n", fitting.nut_height_mm, "mm", "height of the nut, flush at the start",
                    PROFILE)  # fmt: skip
        sheet.given("o_s", case.room_mm, "mm", "sleeve's stud end from the post's inner face")
        sheet.work("u_a", "max(min(l_th - h_n, o_s), 0)", "mm", "room to take up", _STUD)
        sheet.work("u_l", "u_a - u_c", "mm", "take-up that is left", _STUD)
        return Check(
            "cable.takeup", "take-up", "all cables at their set tension",
            f"{schedule.marks[n]}, pulled end", sheet["u_c"], sheet["u_a"], "mm", _STUD,
            sheet.trace("u_c", "u_a", "u_l"),
        )  # fmt: skip


def _of(name: str, entry: Entry | None) -> Source:
    """Where a value of a profile comes from."""
    return Source(name, entry.source, entry.verified) if entry else PROFILE
