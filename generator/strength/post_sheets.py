"""The steps of a post's checks: bending where it governs, deflection, and the rail's thrust."""

from __future__ import annotations

import math

from generator.strength.loads import LoadCase
from generator.strength.materials import (
    bending_stress,
    strength_source,
    tell_material,
    weld_stress,
)
from generator.strength.posts import Fixity, Governing, Level, PostWork, flat_of
from generator.strength.read import Pulls
from generator.strength.result import Check
from generator.strength.sections import Axis
from generator.strength.steps import GEOMETRY, MECHANICS, Sheet, Source
from generator.strength.tension import material_of

_PROP = Source("statics", "propped cantilever", True)


class PostSheets(PostWork):
    """Writes a post's calculations on sheets; what governs was found before."""

    def bending(self, sheet: Sheet) -> Check:
        """The check of bending at the governing level, written out on the sheet."""
        worst = self.governing()
        tell_material(sheet, self.material)
        level = worst.level
        mx, my = self.moments(sheet, worst, level.z_mm, "")
        about_x, about_y = level.axes
        sheet.given(
            "S_x", about_x.elastic, "mm3", f"section modulus about x, {level.words}", GEOMETRY
        )
        sheet.given(
            "S_y", about_y.elastic, "mm3", f"section modulus about y, {level.words}", GEOMETRY
        )
        sheet.given("A_z", level.area, "mm2", f"area {level.words}", GEOMETRY)
        sheet.given("N", abs(self.axial(worst.case)) + worst.down_n, "N", "force along the post")
        formula = f"abs({mx}) / S_y + abs({my}) / S_x + N / A_z"
        sheet.work("f_b", formula, "MPa", "stress at the corner of the tube", MECHANICS)
        if level.welded:
            allowed = weld_stress(sheet)
        else:
            flat, wall = flat_of(self.case.section)
            allowed = bending_stress(sheet, self.material, flat, wall)
        return Check(
            "post.bending",
            "bending",
            worst.case.words + _based(worst.fixity, self.propped),
            f"{level.words}, {level.z_mm:.0f} mm above where it is held",
            sheet["f_b"],
            sheet[allowed],
            "MPa",
            sheet.source(allowed),
            sheet.trace("f_b", allowed),
        )

    def moments(self, sheet: Sheet, worst: Governing, z_mm: float, mark: str) -> tuple[str, str]:
        """Symbols of the moments at a level of forces along x and along y."""
        z, sums = f"z{mark}", {"x": [], "y": []}
        sheet.given(z, z_mm, "mm", "level, above where the post is held")
        sheet.given("H", self.case.top_mm, "mm", "top of rail above where the post is held")
        for k, pulls in enumerate(self.case.pulls, 1):
            moment = self._group_moment(sheet, worst, pulls, (k, z, mark))
            for way, share in zip("xy", pulls.way, strict=True):
                if share:
                    sheet.given(f"g_{way}{k}", share, "", f"direction of leg {k}, part along {way}")
                    sums[way].append(f"{moment} * g_{way}{k}")
        for way, force in zip("xy", worst.live, strict=True):
            if force:
                sums[way].append(f"{self._live(sheet, worst, way, force)} * (H - {z})")
        for way in "xy":
            sheet.work(f"M_{way}{mark}", " + ".join(sums[way]) or "0", "N mm",
                       f"moment of forces along {way} at this level")  # fmt: skip
        return f"M_x{mark}", f"M_y{mark}"

    def _live(self, sheet: Sheet, worst: Governing, way: str, force: float) -> str:
        """Symbol of the load at the top, signed as it acts."""
        sign = 1.0 if force > 0 else -1.0
        sheet.given(f"e_{way}", sign, "", f"sense of the load along {way}")
        symbol = f"V_{way}"
        if worst.case.way == "line":
            self.loads.tell(sheet, "load.line")
            sheet.given("l_w", self.case.reach_mm, "mm", "half of the bays on either side")
            sheet.tell(self.basis.factor("post_continuity"), self._continuity())
            return self._worked(sheet, symbol, f"e_{way} * w * l_w * k_c")
        self.loads.tell(sheet, "load.top")
        if worst.case.way == "along" and self.propped:
            sheet.given("n_p", float(self.case.posts), "", "posts that the rail holds together")
            return self._worked(sheet, symbol, f"e_{way} * P / n_p")
        return self._worked(sheet, symbol, f"e_{way} * P")

    @staticmethod
    def _worked(sheet: Sheet, symbol: str, formula: str) -> str:
        sheet.work(symbol, formula, "N", "load at the top of this post")
        return symbol

    def _group_moment(
        self, sheet: Sheet, worst: Governing, pulls: Pulls, names: tuple[int, str, str]
    ) -> str:
        """Symbol of the moment of one leg's cables and their prop at a level."""
        k, z, mark = names
        self.tell_forces(sheet, worst.case, pulls, k)
        level = sheet[z]
        above = [n for n, y in enumerate(pulls.heights_mm) if y > level]
        pieces = []
        if above:
            heights = tuple(pulls.heights_mm[n] for n in above)
            forces = self.forces(pulls, worst.case)
            sheet.given(f"y_{k}{mark}", heights, "mm", f"cables of leg {k} above this level")
            if len(above) == len(pulls.heights_mm):
                row = f"Q_{k}"
            else:
                row = f"Q_{k}{mark}a"
                sheet.given(
                    row,
                    tuple(forces[n] for n in above),
                    "N",
                    f"level pull of each of these, from the row of leg {k}",
                )
            pieces.append(f"sum({row} * (y_{k}{mark} - {z}))")
        if self.prop(pulls, worst.case, worst.fixity):
            thrust = self.tell_prop(sheet, worst.case, worst.fixity, pulls, k)
            pieces.append(f"- {thrust} * (H_r - {z})")
        formula = " ".join(pieces) or "0"
        sheet.work(f"M_{k}{mark}", formula, "N mm", f"moment of the cables of leg {k}", _PROP)
        return f"M_{k}{mark}"

    def tell_forces(self, sheet: Sheet, case: LoadCase, pulls: Pulls, k: int) -> None:
        """Level pulls of the cables of a leg: the row Q_k, its heights h_k."""
        source = Source(
            "", "tension of the cable sheet times the level part of its direction", True
        )
        row = tuple(self.forces(pulls, case))
        sheet.given(
            f"Q_{k}", row, "N", f"level pull of each cable of leg {k}, lowest first", source
        )
        sheet.given(f"h_{k}", pulls.heights_mm, "mm", f"heights of the cables of leg {k}")

    def tell_prop(self, sheet: Sheet, case: LoadCase, fixity: Fixity, pulls: Pulls, k: int) -> str:
        """Symbol of the thrust of the rail, in the fixity that is looked at."""
        self.tell_forces(sheet, case, pulls, k)
        sheet.given("H_r", self.case.rail_mm, "mm", "axis of the rail above where the post is held")
        symbol = f"R_{k}"
        if fixity == "hinged":
            formula = f"sum(Q_{k} * h_{k}) / H_r"
            sheet.work(symbol, formula, "N", "thrust of the rail, base hinged", _PROP)
            return symbol
        sheet.given("I_p", self.stiffness / self.material.modulus_mpa, "mm4", "I of the post",
                    GEOMETRY)  # fmt: skip
        sheet.given("E_p", self.material.modulus_mpa, "MPa", "modulus of the post",
                    strength_source(self.material))  # fmt: skip
        self._tell_rail_modulus(sheet)
        sheet.given("A_r", self.rail.area, "mm2", "area of the rail", GEOMETRY)
        sheet.given(f"l_{k}", pulls.rail_mm, "mm", f"rail of leg {k} between its end posts")
        moved = f"sum(Q_{k} * h_{k}**2 * (3 * H_r - h_{k})) / (6 * E_p * I_p)"
        own = f"H_r**3 / (3 * E_p * I_p) + l_{k} / (2 * E_r * A_r)"
        if fixity == "giving":
            sheet.given("H", self.case.top_mm, "mm", "top of rail above where the post is held")
            self._tell_give(sheet)
            moved += f" + phi * H_r * sum(Q_{k} * h_{k})"
            own += " + phi * H_r**2"
        sheet.work(f"D_{k}", moved, "mm", "what the top would move, not propped", _PROP)
        words = f"thrust of the rail, base {fixity}"
        sheet.work(symbol, f"D_{k} / ({own})", "N", words, _PROP)
        return symbol

    def deflection(self, sheet: Sheet) -> Check:
        """Top of the post: under the load at the top, or pulled over by its cables."""
        case = self.case
        tell_material(sheet, self.material)
        sheet.given("I_p", self.stiffness / self.material.modulus_mpa, "mm4", "I of the post",
                    GEOMETRY)  # fmt: skip
        sheet.given("H", case.top_mm, "mm", "top of rail above where the post is held")
        factor = self.basis.factor("give_post")
        sheet.tell(factor)
        self._tell_give(sheet)
        force, words = self._top_force(sheet)
        sheet.work("D_a", f"{force} * (H**3 / (3 * E * I_p) + phi * H**2)", "mm",
                   "top under the load across")  # fmt: skip
        pulled = [self._pulled(sheet, pulls, k) for k, pulls in enumerate(case.pulls, 1)]
        formula = f"max({', '.join(['D_a', *pulled])})" if pulled else "D_a"
        sheet.work("D_top", formula, "mm", "greatest of these")
        sheet.work("D_lim", "H / n_h", "mm", "deflection allowed", factor.source)
        if sheet["D_top"] > sheet["D_a"]:
            words = "cable tension with temperature alone"
        return Check(
            "post.deflection", "deflection", words, "at the top of the rail",
            sheet["D_top"], sheet["D_lim"], "mm", factor.source, sheet.trace("D_top", "D_lim"),
        )  # fmt: skip

    def _top_force(self, sheet: Sheet) -> tuple[str, str]:
        """Symbol of the greater of the loads across at the top, and its words."""
        words = {case.way: case.words for case in self.loads.cases()}
        line = self._line(self.loads.line_n_mm)
        if line > self.loads.top_n:
            worst = Governing(self._case_of("line"), "fixed", (0.0, line), 0.0, _NOWHERE, 0.0)
            return self._live(sheet, worst, "y", line), words["line"]
        if "load.top" not in self.loads.limits:
            sheet.given("V_0", 0.0, "N", "the rule set states no load at the top")
            return "V_0", words["none"]
        self.loads.tell(sheet, "load.top")
        return "P", words["across"]

    def _tell_rail_modulus(self, sheet: Sheet) -> None:
        rail = material_of(self.job, self.job.system.rail.material)
        sheet.given("E_r", rail.modulus_mpa, "MPa", "modulus of the rail", strength_source(rail))

    def _case_of(self, way: str) -> LoadCase:
        return next(case for case in self.loads.cases() if case.way == way)

    def _tell_give(self, sheet: Sheet) -> None:
        """phi: turn of the base for a unit moment, from its turn under the load at the top."""
        sheet.given("g_b", math.radians(self.inputs.base_give_deg), "rad",
                    "turn of the base under the load at the top, strength.base_give",
                    Source("job spec", "strength.base_give; 1 deg is assumed, no source", False),
                    )  # fmt: skip
        if "load.top" in self.loads.limits:
            self.loads.tell(sheet, "load.top")
            sheet.work("phi", "g_b / (P * H)", "rad/(N mm)", "turn of the base for 1 N mm")
        else:
            sheet.given("phi", 0.0, "rad/(N mm)", "no load at the top to tell it by")

    def _pulled(self, sheet: Sheet, pulls: Pulls, k: int) -> str:
        """Symbol of how far the cables of a leg pull the top over."""
        case = self.loads.cases()[0]
        self.tell_forces(sheet, case, pulls, k)
        free = f"sum(Q_{k} * (h_{k}**2 * (3 * H - h_{k}) / (6 * E * I_p) + phi * h_{k} * H))"
        if not (self.propped and pulls.rail_mm):
            sheet.work(f"D_c{k}", f"abs({free})", "mm", f"top pulled over by leg {k}", _PROP)
            return f"D_c{k}"
        sheet.work(f"D_f{k}", f"abs({free})", "mm", f"top pulled over by leg {k}, no prop", _PROP)
        self._tell_rail_modulus(sheet)
        sheet.given("A_r", self.rail.area, "mm2", "area of the rail", GEOMETRY)
        sheet.given(f"l_{k}", pulls.rail_mm, "mm", f"rail of leg {k} between its end posts")
        formula = (
            f"D_f{k} * (l_{k} / (2 * E_r * A_r))"
            f" / (H**3 / (3 * E * I_p) + phi * H**2 + l_{k} / (2 * E_r * A_r))"
        )
        sheet.work(f"D_c{k}", formula, "mm", f"top pulled over by leg {k}, rail propping", _PROP)
        return f"D_c{k}"


_NOWHERE = Level(0.0, (Axis(1.0, 1.0, 1.0), Axis(1.0, 1.0, 1.0)), 1.0, False, "")


def _based(fixity: Fixity, propped: bool) -> str:
    return f", rail propping, base {fixity}" if propped else ""
