"""The top rail: bending between posts, the strut that props end posts, and its joints."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from itertools import pairwise

from generator.frozen import dataclass
from generator.geometry import dot, sub
from generator.parts.assembly import Assembly, LegLine, RailDetail
from generator.parts.shapes import Prism
from generator.spec.job import Job
from generator.strength.beams import support_moments, worst_point, worst_point_moment
from generator.strength.brackets import bracket_demands
from generator.strength.factors import basis_of
from generator.strength.loads import Loads
from generator.strength.materials import (
    bending_stress,
    column_stress,
    family_of,
    safety_of,
    tell_material,
)
from generator.strength.post_sheets import PostSheets
from generator.strength.posts import section_of_rail
from generator.strength.result import WITH_THRUST, Check
from generator.strength.steps import GEOMETRY, MECHANICS, PROFILE, Sheet, Source, memory
from generator.strength.tension import material_of

_BEAM = Source("beam tables", "span with hinged ends", True)
_CONTINUOUS = Source("statics", "three-moment equation, load anywhere", True)
# By family of the rail's metal: aluminium, else steel.
_INTERACTION = {
    True: memory("Aluminum Design Manual 2015, H.1", "axial force with bending, amplified"),
    False: memory("AISC 360-16, H1", "axial force with bending, amplified, taken linear"),
}
_SCREW = {
    True: memory("Aluminum Design Manual 2015, J.5.6", "screws in shear: bearing, tilting, shank"),
    False: memory("AISI S100-16, J4.3", "screws in shear: bearing, tilting, shank"),
}
_PULL_OUT = {
    True: memory("Aluminum Design Manual 2015, J.5.5", "screws pulled out of walls of 2 to 3.2 mm"),
    False: memory("AISI S100-16, J4.4.1", "screws pulled out"),
}
_NUMBER = re.compile(r"No\. ?(\d+)\b")
_METRIC = re.compile(r"(\d+(?:\.\d+)?) ?x ?\d+(?:\.\d+)? ?mm")


@dataclass(frozen=True, slots=True)
class RailCase:
    """The rail of one leg: bays, spans of each piece over posts, overhang, height, joints, mm."""

    bays_mm: tuple[float, ...]
    spans_mm: tuple[tuple[float, ...], ...]
    overhang_mm: float
    height_mm: float
    jointed: bool


def rail_case(assembly: Assembly, leg: LegLine, height_mm: float) -> RailCase | None:
    """The rail of a leg as it lies over the leg's posts; None where the leg has none."""
    marks = assembly.by_mark
    posts = [marks[mark].place.origin for mark in leg.posts]
    pieces = [marks[mark] for mark in leg.rails]
    pieces = [piece for piece in pieces if abs(piece.place.z[2]) < 0.9]
    if not pieces or len(posts) < 2:
        return None
    spans: list[tuple[float, ...]] = []
    bays: list[float] = []
    overhang, jointed = 0.0, False
    for piece in pieces:
        shape = piece.shape
        assert isinstance(shape, Prism)
        jointed |= isinstance(piece.detail, RailDetail) and "joint" in piece.detail.start_on
        axis = piece.place.z
        level = 1.0 - axis[2] ** 2
        at = sorted(_along(sub(post, piece.place.origin), axis, level) for post in posts)
        bays = [b - a for a, b in pairwise(at)]
        low, high = shape.start.z_mm, shape.end.z_mm
        over = [s for s in at if low - 1.0 <= s <= high + 1.0]
        spans.append(tuple(round(b - a, 6) for a, b in pairwise(over)))
        overhang = max(overhang, at[0] - low, high - at[-1])
    return RailCase(
        tuple(round(bay, 6) for bay in bays),
        tuple(sorted(set(spans))),
        round(overhang, 6),
        round(height_mm, 6),
        jointed,
    )


def _along(
    to_post: tuple[float, float, float], axis: tuple[float, float, float], level: float
) -> float:
    """How far along a rail's axis it passes over a post."""
    return dot((to_post[0], to_post[1], 0.0), axis) / level


class RailWork:
    """Checks of the rail of one leg; `prop` is the post whose thrust it takes, and its leg."""

    def __init__(
        self, job: Job, case: RailCase, loads: Loads, prop: tuple[PostSheets, int] | None
    ) -> None:
        self.job, self.case, self.loads, self.prop = job, case, loads, prop
        self.basis = basis_of(job.profiles)
        self.material = material_of(job, job.system.rail.material)
        self.aluminium = family_of(self.material) == "aluminium"
        self.values = section_of_rail(job)

    def checks(self) -> Iterator[Check]:
        """Bending both ways, deflection, strut and joints."""
        yield from self._bending()
        yield from self._deflection()
        if self.prop:
            yield self._strut()
        yield from self._joints()

    def _thrust(self, sheet: Sheet) -> str | None:
        """Symbol of the thrust in the rail, with the steps of its post."""
        if not self.prop:
            return None
        post, k = self.prop
        found, case, fixity = post.thrust(k)
        if found <= 0.0:
            return None
        symbol = post.tell_prop(sheet, case, fixity, post.case.pulls[k], k + 1)
        sheet.work("R", f"abs({symbol})", "N", f"thrust in the rail: {case.words}, base {fixity}")
        return "R"

    def _loads(self) -> Iterator[tuple[str, str, str]]:
        """(words, moment formula, axis that bends) of each load on a span."""
        point = "P * L_r / 4" if self._simple() else "P * k_M"
        words = {case.way: case.words.split(", with")[0] for case in self.loads.cases()}
        if self.loads.top_n:
            yield words["across"], f"max({point}, P * o_r)", "y"
            yield words["down"], f"max({point}, P * o_r)", "x"
        if self.loads.line_n_mm:
            yield words["line"], "max(w * L_r**2 / 8, w * o_r**2 / 2)", "y"
        if self.loads.down_n_mm:
            symbol = "w_v" if self.loads.down_key == "load.vertical" else "w"
            yield words["line-down"], f"max({symbol} * L_r**2 / 8, {symbol} * o_r**2 / 2)", "x"

    def _simple(self) -> bool:
        return self.job.strength.rail == "simple" or all(len(s) < 2 for s in self.case.spans_mm)

    def _tell(self, sheet: Sheet) -> None:
        sheet.given("L_r", max(self.case.bays_mm), "mm", "longest bay, along the rail")
        sheet.given("o_r", self.case.overhang_mm, "mm", "rail beyond the axis of an end post")
        if not self._simple():
            self._tell_continuous(sheet)
        for key in ("load.top", "load.line", "load.vertical"):
            if key in self.loads.limits:
                self.loads.tell(sheet, key)

    def _tell_continuous(self, sheet: Sheet) -> None:
        """k_M, the greatest moment of a unit load on the piece that it bends most.

        Moments over the supports are solved; two of them are worked anew from their neighbours.
        """
        spans = max((s for s in self.case.spans_mm if s), key=worst_point_moment)
        _, n, share = worst_point(spans)
        over = [0.0, *support_moments(spans, n, share, 1.0), 0.0]
        given, work = sheet.given, sheet.work
        given("a_s", share, "", "place of the load, share of its span", _CONTINUOUS)
        given("L_2", spans[n], "mm", "span that is loaded, along the rail")
        for symbol, k, words in (("L_1", n - 1, "before"), ("L_3", n + 1, "behind")):
            length = spans[k] if 0 <= k < len(spans) else 0.0
            given(symbol, length, "mm", f"span {words} it, 0 where there is none")
        given(
            "m_1", over[n], "mm", "moment of a unit load over the support before that", _CONTINUOUS
        )
        given("m_4", over[n + 3], "mm", "over the support behind the span behind it", _CONTINUOUS)
        given("m_3", over[n + 2], "mm", "over the support behind the load", _CONTINUOUS)
        if n > 0:
            formula = "-(m_1 * L_1 + m_3 * L_2 + a_s * (1 - a_s) * (2 - a_s) * L_2**2)"
            formula += " / (2 * (L_1 + L_2))"
            work("m_2", formula, "mm", "over the support before the load", _CONTINUOUS)
        else:
            given("m_2", 0.0, "mm", "over the support before the load, an end")
        if n < len(spans) - 1:
            formula = "-(m_2 * L_2 + m_4 * L_3 + a_s * (1 - a_s) * (1 + a_s) * L_2**2)"
            work("m_3c", f"{formula} / (2 * (L_2 + L_3))", "mm", "m_3 by its neighbours",
                 _CONTINUOUS)  # fmt: skip
        else:
            given("m_3c", 0.0, "mm", "m_3 by its neighbours: an end")
        formula = "a_s * (1 - a_s) * L_2 + m_2 * (1 - a_s) + m_3c * a_s"
        work("m_0", formula, "mm", "moment of a unit load under itself")
        work("k_M", "max(m_0, abs(m_2), abs(m_3c))", "mm", "greatest moment of a unit load")

    def _bending(self) -> Iterator[Check]:
        rail = self.job.system.rail
        for words, formula, axis in self._loads():
            sheet = Sheet(self.basis)
            tell_material(sheet, self.material)
            self._tell(sheet)
            values = self.values.about_y if axis == "y" else self.values.about_x
            flat = (rail.depth_mm if axis == "y" else rail.width_mm) - 2 * rail.wall_mm
            sheet.given("S_r", values.elastic, "mm3", f"section modulus about {axis}", GEOMETRY)
            sheet.work("M_r", formula, "N mm", "moment in the rail", _BEAM)
            sheet.work("f_b", "M_r / S_r", "MPa", "bending stress")
            allowed = bending_stress(sheet, self.material, flat, rail.wall_mm)
            source = sheet.source(allowed)
            yield Check(
                "rail.bending", "bending", words, "in the longest bay",
                sheet["f_b"], sheet[allowed], "MPa", source, sheet.trace("f_b", allowed),
            )  # fmt: skip
            if self._thrust(sheet) is None:
                continue
            strut = column_stress(sheet, self.material, self.values, max(self.case.bays_mm))
            sheet.work("f_a", "R / A", "MPa", "stress of the thrust")
            formula = f"f_a / {strut} + f_b / ({allowed} * (1 - min(f_a * Omega_y / F_e, 0.99)))"
            sheet.work(
                "u_r", formula, "", "thrust and bending at once", _INTERACTION[self.aluminium]
            )
            sheet.given("u_1", 1.0, "", "ratio allowed", _INTERACTION[self.aluminium])
            yield Check(
                "rail.bending", WITH_THRUST, words, "in the longest bay",
                sheet["u_r"], 1.0, "", _INTERACTION[self.aluminium], sheet.trace("u_r", "u_1"),
            )  # fmt: skip

    def _deflection(self) -> Iterator[Check]:
        """At mid-span under the load at the top, as a simple span: P L**3 / 48 E I."""
        if not self.loads.top_n:
            return
        sheet = Sheet(self.basis)
        tell_material(sheet, self.material)
        self._tell(sheet)
        inertia = min(self.values.about_x.inertia, self.values.about_y.inertia)
        sheet.given("I_r", inertia, "mm4", "least I of the rail", GEOMETRY)
        sheet.given("h_g", self.case.height_mm, "mm", "height of the guard at its posts")
        for key in ("give_rail_h", "give_rail_l"):
            sheet.tell(self.basis.factor(key))
        sheet.work("d_r", "P * L_r**3 / (48 * E * I_r)", "mm", "deflection at mid-span", _BEAM)
        source = self.basis.factor("give_rail_h").source
        sheet.work("d_a", "h_g / n_r + L_r / n_L", "mm", "deflection allowed", source)
        yield Check(
            "rail.bending", "deflection", "concentrated load outward, inward or down at the top",
            "in the longest bay", sheet["d_r"], sheet["d_a"], "mm", source,
            sheet.trace("d_r", "d_a"),
        )  # fmt: skip

    def _strut(self) -> Check:
        sheet = Sheet(self.basis)
        tell_material(sheet, self.material)
        strut = column_stress(sheet, self.material, self.values, max(self.case.bays_mm))
        if self._thrust(sheet) is None:
            sheet.given("R", 0.0, "N", "no cable ends here: no thrust")
        sheet.work("f_a", "R / A", "MPa", "stress of the thrust")
        source = sheet.source(strut)
        return Check(
            "rail.strut", "strut between end posts", "cables, with the load that pulls most",
            "in the longest bay", sheet["f_a"], sheet[strut], "MPa", source,
            sheet.trace("f_a", strut),
        )  # fmt: skip

    def _joints(self) -> Iterator[Check]:
        """What the screws of one piece's end in its bracket carry: thrust, or the load along."""
        sheet = Sheet(self.basis)
        tell_material(sheet, self.material)
        force = self._thrust(sheet)
        if self.loads.top_n:
            self.loads.tell(sheet, "load.top")
        if force is None and not self.loads.top_n:
            return
        yield from self._screws(sheet, force)
        yield from self._lifted(sheet)
        two = [a + b for a, b in pairwise(self.case.bays_mm)] or [max(self.case.bays_mm)]
        yield from bracket_demands(sheet, self.loads, "F_j", max(two) / 2)

    def _screws(self, sheet: Sheet, force: str | None) -> Iterator[Check]:
        """The screws of one piece's end under `force`, the symbol of the thrust, and the load."""
        system = self.job.system
        share = 2 if self.case.jointed else 1
        formula = " + ".join(
            symbol for symbol in (force, "P" if self.loads.top_n else None) if symbol
        )
        sheet.work("F_j", formula, "N", "along the rail at an end of a piece")
        sheet.given("n_s", float(system.bracket.screws), "", "screws of a bracket", PROFILE)
        sheet.given("n_j", float(share), "", "pieces that share a bracket")
        place = "joint over a post" if self.case.jointed else "bracket of an end post"
        if system.bracket.screws // share == 0:
            yield Check("rail.splice", "joint", "thrust and load along", place, sheet["F_j"],
                        None, "N", MECHANICS, sheet.trace("F_j"))  # fmt: skip
            return
        sheet.work("F_1", "F_j / floor(n_s / n_j)", "N", "on one screw")
        capacity = self._screw(sheet)
        source = _SCREW[self.aluminium] if capacity else MECHANICS
        shown = (capacity,) if capacity else ()
        yield Check(
            "rail.splice", "screws of the joint", "thrust and load along the top", place,
            sheet["F_1"], sheet[capacity] if capacity else None, "N", source,
            sheet.trace("F_1", *shown),
        )  # fmt: skip

    def _lifted(self, sheet: Sheet) -> Iterator[Check]:
        """The screws of one piece's end, pulled out of the rail by the load up."""
        if not self.loads.top_n or "B_s" not in sheet:
            return
        sheet.work("T_1", "P / floor(n_s / n_j)", "N", "pull on one screw, load up at this end")
        formula = "1.2 * D_s * t_r * F_y" if self.aluminium else "0.85 * D_s * t_r * F_u"
        sheet.work("B_o", f"{formula} / Omega_s", "N", "out of the wall", _PULL_OUT[self.aluminium])
        yield Check(
            "rail.splice", "screws, rail lifted", "concentrated load up at the top",
            "bracket under an end of a piece", sheet["T_1"], sheet["B_o"], "N",
            _PULL_OUT[self.aluminium], sheet.trace("T_1", "B_o"),
        )  # fmt: skip

    def _screw(self, sheet: Sheet) -> str | None:
        """Symbol of what a screw carries in the rail's wall; None where its size is not told."""
        size = screw_diameter(self.job.system.bracket.screw)
        if size is None:
            return None
        rail = self.job.system.rail
        sheet.given("D_s", size, "mm", f"diameter: {self.job.system.bracket.screw}", PROFILE)
        sheet.given("t_r", rail.wall_mm, "mm", "wall of the rail, away from the head", PROFILE)
        sheet.tell(self.basis.factor("screw_ultimate"))
        sheet.tell(safety_of(self.basis, self.material).screws)
        sheet.work(
            "B_1",
            "2 * F_u * D_s * t_r / Omega_s",
            "N",
            "bearing on the wall",
            _SCREW[self.aluminium],
        )
        sheet.work(
            "B_2",
            "4.2 * sqrt(t_r**3 * D_s) * F_u / Omega_s",
            "N",
            "tilting",
            _SCREW[self.aluminium],
        )
        sheet.work(
            "B_3",
            "0.6 * F_us * pi / 4 * (0.76 * D_s)**2 / Omega_s",
            "N",
            "shank",
            _SCREW[self.aluminium],
        )
        sheet.work(
            "B_s", "min(B_1, B_2, B_3)", "N", "what one screw carries", _SCREW[self.aluminium]
        )
        return "B_s"


def screw_diameter(text: str) -> float | None:
    """Diameter in mm of a screw as it is ordered: No. 12 is 0.060 + 12 x 0.013 in (ASME B18.6)."""
    number, metric = _NUMBER.search(text), _METRIC.search(text)
    if number:
        return (0.060 + 0.013 * int(number[1])) * 25.4
    return float(metric[1]) if metric and math.isfinite(float(metric[1])) else None
