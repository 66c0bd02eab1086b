"""The plate that holds a post at a fascia or a stringer: its bending and the weld of its stand-off.

The stand-off is a block as wide as the post and as high as the plate, with a fillet all round its
face on the plate; the bolts stand in two columns beside it.
"""

from __future__ import annotations

from generator.strength.materials import tell_material, weld_stress
from generator.strength.posts import PostWork
from generator.strength.result import Check
from generator.strength.steps import PROFILE, Sheet, Source, memory

_PLATE = memory(
    "Aluminum Design Manual 2015, F.4; AISC 360-16, F11", "shape factor 1.5 of a flat plate"
)
_LINE = Source("statics", "fillet all round a rectangle, taken as a line", True)


def plate_bending(work: PostWork, sheet: Sheet, words: str) -> Check:
    """Bending of the side plate beside the stand-off under the worst bolt's pull.

    Each bolt bends the strip of its own row: the plate's height over the rows.
    """
    post = work.job.system.post
    tell_material(sheet, work.material, "p")
    sheet.given("s_b", post.bolt_spacing_mm, "mm", "columns of bolts apart", PROFILE)
    sheet.given("h_p", post.side_plate_height_mm, "mm", "height of the side plate", PROFILE)
    sheet.given("t_p", post.side_plate_thickness_mm, "mm", "thickness of the side plate", PROFILE)
    sheet.given("b_t", post.width_mm, "mm", "width of the post and its stand-off", PROFILE)
    sheet.given("n_b", float(post.side_bolts), "", "bolts of the side plate", PROFILE)
    sheet.work("m_p", "max((s_b - b_t) / 2, 0)", "mm", "bolts beyond the stand-off's face")
    sheet.work("c_p", "h_p / (n_b / 2)", "mm", "strip of the plate for a row of bolts")
    sheet.work("M_p", "T_b * m_p", "N mm", "moment in the strip beside the stand-off")
    sheet.work("f_p", "6 * M_p / (c_p * t_p**2)", "MPa", "stress in the plate, elastic")
    weld_stress(sheet, "p")
    sheet.work("F_p", "1.5 * F_wp", "MPa", "allowable, beside the weld, shape factor 1.5", _PLATE)
    return Check(
        "anchor.withdrawal", "side plate", words, "beside the stand-off, worst bolt",
        sheet["f_p"], sheet["F_p"], "MPa", _PLATE, sheet.trace("f_p", "F_p"),
    )  # fmt: skip


def stand_off_weld(work: PostWork, sheet: Sheet, words: str, allowed: str) -> Check:
    """The fillet of the stand-off on the plate; `allowed` is the symbol of its allowable stress."""
    post, given, do = work.job.system.post, sheet.given, sheet.work
    leg = work.inputs.weld_mm or post.wall_mm
    spec = Source("job spec", "job spec", True)
    given("a_w", leg, "mm", "leg of the fillet, strength.weld, else the tube's wall", spec)
    given("b_t", post.width_mm, "mm", "width of the post and its stand-off", PROFILE)
    given("h_p", post.side_plate_height_mm, "mm", "height of the side plate", PROFILE)
    given("e_s", post.standoff_mm + post.depth_mm / 2, "mm", "post's axis from the fascia", PROFILE)
    do("t_w", "a_w / sqrt(2)", "mm", "throat of the fillet")
    do("A_w", "2 * (b_t + h_p) * t_w", "mm2", "of the weld", _LINE)
    do("S_wh", "(b_t * h_p + h_p**2 / 3) * t_w", "mm3", "of the weld, forces across", _LINE)
    do("S_wv", "(b_t * h_p + b_t**2 / 3) * t_w", "mm3", "of the weld, forces along that stand off",
       _LINE)  # fmt: skip
    do("J_w", "(b_t + h_p)**3 / 6 * t_w", "mm4", "of the weld, twist in the plate's plane", _LINE)
    do("r_w", "sqrt(b_t**2 + h_p**2) / 2", "mm", "from the weld's middle to its corner", _LINE)
    do("f_w", "abs(M_yb) / S_wh + F_x * e_s / S_wv + F_y / A_w", "MPa", "in the throat, square")
    do("v_w", "abs(M_xb) * r_w / J_w + F_x / A_w", "MPa", "in the throat, in shear")
    do("q_w", "sqrt(f_w**2 + v_w**2)", "MPa", "stress in the throat")
    return Check(
        "post.bending", "stand-off weld", words, "fillet round the stand-off, on the side plate",
        sheet["q_w"], sheet[allowed], "MPa", sheet.source(allowed), sheet.trace("q_w", allowed),
    )  # fmt: skip
