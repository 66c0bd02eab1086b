"""What holds a post down: weld, base plate, bolts and screws, and what they pull on.

A moment is taken by a couple of two rows of bolts, no wider apart than the rows: nothing is counted
on the plate's edge pressing into wood. Anchors in concrete are a stated demand; their capacity is
that of the anchor's own approval.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from generator.layout.side_mount import threads_out_mm
from generator.strength.factors import Wood
from generator.strength.loads import LoadCase
from generator.strength.materials import (
    family_of,
    safety_of,
    strength_source,
    tell_material,
    weld_stress,
)
from generator.strength.post_sheets import PostSheets
from generator.strength.posts import Governing, Level, levels
from generator.strength.result import Check
from generator.strength.side_plates import plate_bending, stand_off_weld
from generator.strength.steps import GEOMETRY, MECHANICS, PROFILE, Sheet, Source, memory
from generator.strength.tension import material_of
from generator.strength.wood import (
    at_angle,
    bearing_stress,
    dowel,
    root_mm,
    tell_service,
    tell_wood,
    washer_bearing,
    withdrawal,
)

_BOLT = memory(
    "AISC 360-16 J3.6, J3.7",
    "0.75 of the ultimate strength in tension, 0.45 of it in shear, on the shank",
)
_PLATE = memory(
    "Aluminum Design Manual 2015, F.4; AISC 360-16, F11", "shape factor 1.5 of a flat plate"
)
_SPEC = Source("job spec", "job spec", True)
_COUPLE = Source("statics", "couple of two rows of bolts", True)
_FUSED = memory(
    "Aluminum Design Manual 2015, J.2.2; AISC 360-16, J2.4", "metal at the fused face in shear"
)
_ADJUSTED = memory("NDS 2018 Table 11.3.1", "adjustment factors of dowel-type fasteners")
_EDGE = memory("NDS 2018 Table 12.5.1C", "loaded edge 4 D")
_SUPPORT = memory("IRC 2021 R507.10.1", "a post's load goes on into joists beside its own")


class Fixing:
    """The checks of what a post is fixed by; the demand is its moment there at its greatest."""

    def __init__(self, work: PostSheets) -> None:
        self.work, self.job, self.case = work, work.job, work.case
        self.post, self.anchor = work.job.system.post, work.job.system.anchor
        self.wet, self.basis = work.inputs.moisture == "wet", work.basis
        self.lag = work.basis.lag(self.anchor.diameter_mm) if self.anchor.style == "lag" else None

    def checks(self) -> Iterator[Check]:
        """Weld, plate and anchors on the deck or the fascia; a core's moment as it is."""
        worst = self.governing()
        sheet = self._sheet(worst)
        words = worst.case.words
        if self.case.mount == "core":
            yield from self._core(sheet, words)
            return
        if self.case.mount == "deck":
            yield self._weld(words, worst)
            yield self._plate(sheet, words)
        else:
            yield plate_bending(self.work, sheet, words)
            yield stand_off_weld(self.work, sheet, words, self._weld_allowed(sheet))
        yield self._steel(sheet, words)
        found = {check.name: check for check in self._wood(sheet, worst.case)}
        if self.case.pulls and worst.case.way != "none":
            # Tension alone is less, but wood bears it for good, and less of it.
            alone = replace(worst, case=self.work.loads.cases()[0], live=(0.0, 0.0), down_n=0.0)
            for check in self._wood(self._sheet(alone), alone.case):
                before = found[check.name]
                if (check.utilisation, check.demand) > (before.utilisation, before.demand):
                    found[check.name] = check
        yield from found.values()

    def _sheet(self, worst: Governing) -> Sheet:
        """Moments, shears and the pull on the worst anchor."""
        sheet = Sheet(self.basis)
        self.work.moments(sheet, worst, -self.case.fixing_mm, "b")
        self._shears(sheet, worst)
        if self.case.mount != "core":
            self._pull(sheet, worst)
        return sheet

    def _duration(self, way: str) -> float:
        """Of wood: tension alone is there for good, whatever the load at the top is given."""
        return self.basis.factor("duration").value if way == "none" else self.work.inputs.duration

    def governing(self) -> Governing:
        """The case with the greatest moment where the anchors are."""
        z = -self.case.fixing_mm
        level = Level(z, levels(self.case.section, (), 0.0, 0.0)[0].axes, 1.0, False, "")
        found: Governing | None = None
        held = self.work.fixities()[0]
        for load in self.work.loads.cases():
            mx, my = self.work.cables_moment(load, held, z)
            for live, down in self.work.live(load):
                arm = self.case.top_mm - z
                size = abs(mx + live[0] * arm) + abs(my + live[1] * arm)
                if found is None or size > found.ratio + 1e-9:
                    found = Governing(load, held, live, down, level, size)
        assert found is not None
        return found

    def _shears(self, sheet: Sheet, worst: Governing) -> None:
        """Level forces at the anchors: cables, the load at the top, less the rail's thrust."""
        for i, way in enumerate("xy"):
            pieces = [f"V_{way}"] if worst.live[i] else []
            for k, pulls in enumerate(self.case.pulls, 1):
                if not pulls.way[i]:
                    continue
                thrust = self.work.prop(pulls, worst.case, worst.fixity)
                pieces.append(
                    f"(sum(Q_{k}) - R_{k}) * g_{way}{k}" if thrust else f"sum(Q_{k}) * g_{way}{k}"
                )
            formula = f"abs({' + '.join(pieces)})" if pieces else "0"
            sheet.work(f"F_{way}", formula, "N", f"level force along {way} at the anchors")

    # Weld and plate

    def _weld(self, words: str, worst: Governing) -> Check:
        """Fillet all round the tube, as a line: S_w = b d + d**2 / 3 about the axis along b."""
        sheet = Sheet(self.basis)
        at_root = Level(0.0, worst.level.axes, 1.0, True, "")
        mx, my = self.work.moments(
            sheet,
            Governing(worst.case, worst.fixity, worst.live, worst.down_n, at_root, 0.0),
            0.0,
            "",
        )
        self._shears(sheet, worst)
        leg = self.work.inputs.weld_mm or self.post.wall_mm
        sheet.given(
            "a_w", leg, "mm", "leg of the fillet, strength.weld, else the tube's wall", _SPEC
        )
        sheet.given("b_t", self.post.width_mm, "mm", "width of the tube, along x", PROFILE)
        sheet.given("d_t", self.post.depth_mm, "mm", "depth of the tube, along y", PROFILE)
        sheet.work("t_w", "a_w / sqrt(2)", "mm", "throat of the fillet")
        sheet.work("S_wx", "(b_t * d_t + d_t**2 / 3) * t_w", "mm3", "of the weld, forces along y")
        sheet.work("S_wy", "(b_t * d_t + b_t**2 / 3) * t_w", "mm3", "of the weld, forces along x")
        sheet.work(
            "f_w", f"abs({mx}) / S_wy + abs({my}) / S_wx", "MPa", "stress in the throat, bending"
        )
        sheet.work("v_w", "sqrt(F_x**2 + F_y**2) / (2 * (b_t + d_t) * t_w)", "MPa", "in shear")
        sheet.work("q_w", "sqrt(f_w**2 + v_w**2)", "MPa", "stress in the throat")
        allowed = self._weld_allowed(sheet)
        return Check(
            "post.bending", "base weld", words, "fillet round the tube, on the base plate",
            sheet["q_w"], sheet[allowed], "MPa", sheet.source(allowed),
            sheet.trace("q_w", allowed),
        )  # fmt: skip

    def _weld_allowed(self, sheet: Sheet) -> str:
        """Symbol of the allowable stress in the throat of a fillet."""
        material = self.work.material
        aluminium = family_of(material) == "aluminium"
        filler = self.basis.factor(
            f"filler_{self.work.inputs.filler}" if aluminium else "electrode_70"
        )
        sheet.tell(filler)
        sheet.tell(safety_of(self.basis, material).rupture)
        # Where it is fused to the metal the area is that of the leg, root 2 of the throat's.
        tell_material(sheet, material, "m")
        meaning = "shear strength of the metal beside the weld, on the throat"
        sheet.work("F_wm", "0.6 * F_uwm * sqrt(2)", "MPa", meaning, _FUSED)
        words = "allowable stress in the throat"
        lesser = filler.source if sheet["F_sw"] <= sheet["F_wm"] else _FUSED
        sheet.work("F_wa", "min(F_sw, F_wm) / Omega_u", "MPa", words, lesser)
        return "F_wa"

    def _plate(self, sheet: Sheet, words: str) -> Check:
        """Bending of the plate along the tube's face under the two bolts beside it."""
        tell_material(sheet, self.work.material, "p")
        sheet.given("s_b", self.post.bolt_spacing_mm, "mm", "bolts apart", PROFILE)
        sheet.given("c_p", self.post.plate_mm, "mm", "side of the plate", PROFILE)
        sheet.given("t_p", self.post.plate_thickness_mm, "mm", "thickness of the plate", PROFILE)
        sheet.given("c_t", min(self.post.width_mm, self.post.depth_mm), "mm", "tube", PROFILE)
        sheet.work("m_p", "max((s_b - c_t) / 2, 0)", "mm", "bolts beyond the tube's face")
        sheet.work("M_p", "max(abs(M_xb), abs(M_yb)) / s_b * m_p", "N mm", "moment in the plate")
        sheet.work("f_p", "6 * M_p / (c_p * t_p**2)", "MPa", "stress in the plate, elastic")
        weld_stress(sheet, "p")
        sheet.work(
            "F_p", "1.5 * F_wp", "MPa", "allowable, beside the weld, shape factor 1.5", _PLATE
        )
        return Check(
            "anchor.withdrawal", "base plate", words, "along the face of the tube",
            sheet["f_p"], sheet["F_p"], "MPa", _PLATE, sheet.trace("f_p", "F_p"),
        )  # fmt: skip

    # Anchors

    def _pull(self, sheet: Sheet, worst: Governing) -> None:
        """T_b pull and V_b shear of the worst anchor."""
        rise = max(self.work.axial(worst.case), 0.0)
        sheet.given("N_up", rise, "N", "upward pull of cables that slope")
        sheet.given("s_b", self.post.bolt_spacing_mm, "mm", "bolts apart, along the leg", PROFILE)
        if self.case.mount == "deck":
            formula = "abs(M_xb) / (2 * s_b) + abs(M_yb) / (2 * s_b) + N_up / 4"
            sheet.work("T_b", formula, "N", "pull on the worst bolt of four", _COUPLE)
            sheet.work("V_b", "sqrt(F_x**2 + F_y**2) / 4", "N", "shear of each bolt")
            return
        sheet.given("n_b", float(self.post.side_bolts), "", "bolts of the side plate", PROFILE)
        sheet.given("s_v", self.post.side_bolt_spacing_mm, "mm", "rows of bolts apart", PROFILE)
        standoff = self.post.standoff_mm + self.post.depth_mm / 2
        sheet.given("e_s", standoff, "mm", "post's axis from the fascia", PROFILE)
        formula = "abs(M_yb) / (2 * s_v) + F_y / n_b + F_x * e_s / (n_b / 2 * s_b)"
        sheet.work("T_b", formula, "N", "pull on the worst bolt, upper row", _COUPLE)
        sheet.work("r_b", "sqrt(s_b**2 + s_v**2) / 2", "mm", "outer bolts from their middle")
        sheet.work("V_b", "abs(M_xb) / (4 * r_b) + F_x / n_b", "N", "shear of the worst bolt",
                   Source("statics", "four outer bolts, elastic", True))  # fmt: skip

    def _steel(self, sheet: Sheet, words: str) -> Check:
        material = material_of(self.job, self.anchor.material)
        sheet.given("F_ua", material.ultimate_mpa, "MPa", f"ultimate strength, {material.name}",
                    strength_source(material, "ultimate"))  # fmt: skip
        sheet.given("D_a", self._shank(), "mm", "diameter; of a lag screw at its root")
        sheet.tell(safety_of(self.basis, material).bolts)
        sheet.work("A_a", "pi / 4 * D_a**2", "mm2", "area of the anchor", GEOMETRY)
        sheet.work("T_a", "0.75 * F_ua * A_a / Omega_b", "N", "allowable pull, steel", _BOLT)
        sheet.work("V_a", "0.45 * F_ua * A_a / Omega_b", "N", "allowable shear, steel", _BOLT)
        formula = "sqrt((T_b / T_a)**2 + (V_b / V_a)**2)"
        sheet.work("u_a", formula, "", "pull and shear at once", _BOLT)
        sheet.given("u_1", 1.0, "", "ratio allowed", _BOLT)
        return Check(
            "anchor.withdrawal", "anchor's steel", words, "worst anchor of the post",
            sheet["u_a"], 1.0, "", _BOLT, sheet.trace("u_a", "u_1"),
        )  # fmt: skip

    def _wood(self, sheet: Sheet, case: LoadCase) -> Iterator[Check]:
        """Withdrawal or washers, and lateral; stated only where the wood is not told."""
        words, wood = case.words, self._species()
        structure = self.job.structure
        # What a post on the lower floor or a ramp stands on is not told.
        untold = self.case.place in ("lower-floor", "ramp")
        odd = self.anchor.style == "lag" and self.lag is None
        if wood is None or odd or untold or (structure and structure.concrete):
            yield from self._stated(sheet, words)
            return
        tell_service(sheet, self._duration(case.way), self.wet)
        tell_wood(sheet, wood)
        yield self._lateral(sheet, wood, words)
        if self.anchor.style == "lag":
            held = withdrawal(sheet, self.anchor.diameter_mm, self.case.anchor_mm, self._outside())
            source = sheet.source(held)
            yield Check(
                "anchor.withdrawal", "withdrawal", words, "worst screw of the post",
                sheet["T_b"], sheet[held], "N", source, sheet.trace("T_b", held),
            )  # fmt: skip
            if sheet["W_a"] > 0:
                both = at_angle(sheet, "T_b", "V_b")
                yield Check(
                    "anchor.withdrawal", "withdrawal and shear at once", words,
                    "worst screw of the post", sheet["P_r"], sheet[both], "N",
                    sheet.source(both), sheet.trace("P_r", both),
                )  # fmt: skip
        else:
            bore = self.anchor.diameter_mm + 1.5875
            held = washer_bearing(sheet, wood, self.anchor.nut_washer_mm, bore, self.wet)
            source = sheet.source(held)
            yield Check(
                "anchor.withdrawal", "washer on the wood", words,
                "worst bolt of the post, if its whole washer bears",
                sheet["T_b"], sheet[held], "N", source, sheet.trace("T_b", held),
            )  # fmt: skip
        yield self._path(sheet, words)
        yield self._edge(sheet, words)

    def _lateral(self, sheet: Sheet, wood: Wood, words: str) -> Check:
        """The plate is the side member; of the wood only the framing is counted."""
        deck = self.case.mount == "deck"
        plate = self.post.plate_thickness_mm if deck else self.post.side_plate_thickness_mm
        angle = self._to_grain(sheet)
        main = bearing_stress(wood.gravity.value, self.anchor.diameter_mm, angle)
        steel = 1.5 * self.work.material.ultimate_mpa / 1.6
        z = dowel(sheet, self._shank(), (self._inside(), main), (plate, steel), angle)
        source = sheet.source(z)
        sheet.work("Z_a", f"{z} * C_D * C_M", "N", "lateral strength, adjusted", _ADJUSTED)
        return Check(
            "anchor.withdrawal", "shear in the wood", words, "worst anchor of the post",
            sheet["V_b"], sheet["Z_a"], "N", source, sheet.trace("V_b", "Z_a"),
        )  # fmt: skip

    def _to_grain(self, sheet: Sheet) -> float:
        """Angle of the shear to the grain, degrees; across where the grain is not told."""
        grain = self.case.grain_deg
        if grain is None or self.case.mount != "deck":
            return 90.0
        way = math.degrees(math.atan2(sheet["F_y"], sheet["F_x"]))
        # The forces are told without their sense: either diagonal may be the one.
        angles = [abs((sense * way - grain + 90.0) % 180.0 - 90.0) for sense in (1.0, -1.0)]
        return max(angles)

    def _shank(self) -> float:
        """Diameter that bears, mm: of a lag screw at its root."""
        size = self.anchor.diameter_mm
        return root_mm(self.lag, size) if self.anchor.style == "lag" else size

    def _stated(self, sheet: Sheet, words: str) -> Iterator[Check]:
        for symbol, name in (("T_b", "pull on an anchor"), ("V_b", "shear on an anchor")):
            yield Check(
                "anchor.withdrawal", name, words, "by the anchor's own approval",
                sheet[symbol], None, "N", _COUPLE, sheet.trace(symbol),
            )  # fmt: skip

    def _core(self, sheet: Sheet, words: str) -> Iterator[Check]:
        sheet.work("M_c", "sqrt(M_xb**2 + M_yb**2)", "N mm", "moment at the top of the concrete")
        sheet.work("V_c", "sqrt(F_x**2 + F_y**2)", "N", "shear at the top of the concrete")
        for symbol, name, unit in (
            ("M_c", "moment on the core", "N mm"),
            ("V_c", "shear on the core", "N"),
        ):
            yield Check(
                "anchor.withdrawal", name, words, "at the top of the concrete",
                sheet[symbol], None, unit, MECHANICS, sheet.trace(symbol),
            )  # fmt: skip

    def _path(self, sheet: Sheet, words: str) -> Check:
        """What blocking or rim hands on to the joists beside it, or a stringer to its ends."""
        tread = self.case.place == "tread"
        if tread and self.case.mount == "fascia":
            meaning = "moment that turns the stringer about its length"
            sheet.work("M_s", "abs(M_yb)", "N mm", meaning, _SUPPORT)
            return Check(
                "anchor.withdrawal", "twist of the stringer", words,
                "held by treads and risers, not by end grain", sheet["M_s"], None, "N mm",
                _SUPPORT, sheet.trace("M_s"),
            )  # fmt: skip
        joists = self.job.structure.joists if self.job.structure else None
        arm, meaning = (
            self.post.bolt_spacing_mm,
            "bolts apart: how far apart stringers stand is not told",
        )
        if joists and not tread:
            arm, meaning = joists.spacing_mm, "between the joists that the block ends on"
        sheet.given("L_j", arm, "mm", meaning)
        sheet.work("R_j", "max(abs(M_xb), abs(M_yb)) / L_j + T_b", "N",
                   "at an end of the blocking, up or down", _SUPPORT)  # fmt: skip
        return Check(
            "anchor.withdrawal", "end of the blocking", words,
            "screwed or bolted, not in end grain", sheet["R_j"], None, "N", _SUPPORT,
            sheet.trace("R_j"),
        )  # fmt: skip

    def _edge(self, sheet: Sheet, words: str) -> Check:
        sheet.given("D_e", self.anchor.diameter_mm, "mm", "diameter of the anchor", PROFILE)
        sheet.work("e_4", "4 * D_e", "mm", "edge distance that its full shear asks for", _EDGE)
        return Check(
            "anchor.edge", "loaded edge", words, "free edge that the shear goes towards",
            sheet["e_4"], None, "mm", _EDGE, sheet.trace("e_4"),
        )  # fmt: skip

    def _species(self) -> Wood | None:
        joists = self.job.structure.joists if self.job.structure else None
        return self.basis.wood(joists.species) if joists else None

    def _outside(self) -> float:
        """Of an anchor's length: washer, plate, and decking, tread or fascia."""
        fascia = self.case.mount == "fascia"
        plate = self.post.side_plate_thickness_mm if fascia else self.post.plate_thickness_mm
        return self.anchor.washer_thickness_mm + plate + self.case.cover_mm

    def _inside(self) -> float:
        """Of an anchor's length, what lies in the wood that holds it."""
        past = 0.0
        if self.anchor.style != "lag":
            past = self.anchor.nut_height_mm + self.anchor.washer_thickness_mm
            past += threads_out_mm(self.anchor.diameter_mm)
        within = self.case.anchor_mm - self._outside() - past
        joists = self.job.structure.joists if self.job.structure else None
        if past and joists and self.case.mount == "deck":
            within = min(within, joists.width_mm)  # the flat block that its nut is under
        return max(within, self.anchor.diameter_mm)
