"""What stands behind values that a check only states: sections, pulls of cables, bearing of wood.

A check tells a section modulus; a reader wants to see it worked out from width, depth and wall.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace

from generator.parts.shapes import Hole, Rectangle, Section, tube
from generator.spec.job import Job
from generator.strength.factors import basis_of
from generator.strength.materials import strength_source
from generator.strength.read import PostCase
from generator.strength.result import Check
from generator.strength.steps import (
    GEOMETRY,
    MODEL,
    PROFILE,
    Number,
    Sheet,
    Source,
    Step,
    Term,
    memory,
    names,
)
from generator.strength.tension import material_of
from generator.strength.wood import tell_wood

_BEARING = memory("NDS 2018 Table 12.3.3, 12.3.4", "dowel bearing strength, Hankinson's formula")
_PULL = Source("statics", "level part of the tension along the leg", True)
_PSI = "0.006894757293168361"


class Backing:
    """Puts the lines before those values of a check that are only stated.

    `post` is the case of the post that the check belongs to, or that pushes on the rail;
    `rail_first` where the check is of a rail.
    """

    def __init__(self, job: Job, post: PostCase | None, *, rail_first: bool = False) -> None:
        self.job, self.post, self.rail_first = job, post, rail_first

    def steps(self, check: Check) -> tuple[Step, ...]:
        """The steps of a check, each with what leads to it."""
        found: dict[str, Step] = {}
        for step in check.steps:
            for one in self._behind(step, check):
                found.setdefault(one.symbol, one)
        return tuple(found.values())

    def _behind(self, step: Step, check: Check) -> Iterable[Step]:
        if step.formula:
            return (step,)
        if step.unit in ("mm2", "mm3", "mm4") and step.source == GEOMETRY:
            return self._section(step, check)
        if step.symbol.startswith("Q_") and not step.symbol.endswith("a") and self.post:
            return self._pulls(step, self.post)
        if step.symbol == "F_em":
            return self._wood_bearing(step, check)
        if step.symbol == "F_es":
            return self._plate_bearing(step)
        return (step,)

    # Sections

    def _section(self, step: Step, check: Check) -> Iterable[Step]:
        for section, holes, mark in self._sections(step, check):
            sheet = Sheet()
            ways = "yx" if step.symbol.endswith("y") else "xy"
            formulas = section_formulas(sheet, section, holes, mark, step.unit, ways)
            for n, formula in enumerate(formulas):
                name = f"found{n}"
                sheet.work(name, formula, step.unit, step.meaning, GEOMETRY)
                if math.isclose(sheet[name], float(step.value), rel_tol=1e-9):  # type: ignore[arg-type]
                    *before, last = sheet.trace(name)
                    return (*before, replace(last, symbol=step.symbol))
        return (step,)

    def _sections(
        self, step: Step, check: Check
    ) -> Iterator[tuple[Section, tuple[Hole, ...], str]]:
        """(section, holes at the level, mark of its symbols) that a value may be of."""
        rail = self.job.system.rail
        whole = tube(rail.width_mm, rail.depth_mm, rail.wall_mm, rail.corner_mm)
        if self.rail_first and "of the post" not in step.meaning:
            yield whole, (), "r"
        if "rail" not in step.meaning and self.post:
            level = next((s.value for s in check.steps if s.symbol == "z"), None)
            if isinstance(level, float):
                at = level + self.post.root_mm
                cut = tuple(h for h in self.post.holes if abs(h.along_mm - at) < h.height_mm / 2)
                if cut:
                    yield self.post.section, cut, "p"
            yield self.post.section, (), "p"
        yield whole, (), "r"

    # Cables and wood

    def _pulls(self, step: Step, post: PostCase) -> Iterable[Step]:
        k = step.symbol.removeprefix("Q_")
        shares, row = post.pulls[int(k) - 1].shares, step.value
        assert isinstance(row, tuple)
        tight = max(abs(q / c) for q, c in zip(row, shares, strict=True) if c)
        tensions = tuple(round(q / c, 9) if c else tight for q, c in zip(row, shares, strict=True))
        words = f"tension of each cable of leg {k}, lowest first: see the cables"
        one = Step(f"T_c{k}", words, "", (), tensions, "N", _PULL)
        two = Step(
            f"c_{k}", f"level part of its direction along leg {k}", "", (), shares, "", MODEL
        )
        return one, two, _worked(step, f"T_c{k} * c_{k}", (one, two), _PULL)

    def _wood_bearing(self, step: Step, check: Check) -> Iterable[Step]:
        joists = self.job.structure.joists if self.job.structure else None
        angle = next((s for s in check.steps if s.symbol == "a_g"), None)
        wood = basis_of(self.job.profiles).wood(joists.species) if joists else None
        if wood is None or angle is None:
            return (step,)
        sheet = Sheet()
        tell_wood(sheet, wood)
        size = self.job.system.anchor.diameter_mm
        sheet.given("D_n", size, "mm", "diameter of the anchor", PROFILE)
        sheet.given("a_g", angle.value, angle.unit, angle.meaning, angle.source)
        sheet.work("F_e0", f"11200 * G * {_PSI}", "MPa", "bearing along the grain", _BEARING)
        sheet.work("F_e90", f"6100 * G**1.45 / sqrt(D_n / 25.4) * {_PSI}", "MPa",
                   "bearing across the grain", _BEARING)  # fmt: skip
        turn = "a_g * pi / 180"
        formula = f"F_e0 * F_e90 / (F_e0 * sin({turn})**2 + F_e90 * cos({turn})**2)"
        sheet.work(step.symbol, formula, step.unit, step.meaning, _BEARING)
        return _if_same(sheet, step)

    def _plate_bearing(self, step: Step) -> Iterable[Step]:
        material, sheet = material_of(self.job, self.job.system.post.material), Sheet()
        sheet.given("F_up", material.ultimate_mpa, "MPa", f"ultimate strength, {material.name}",
                    strength_source(material, "ultimate"))  # fmt: skip
        sheet.work(step.symbol, "1.5 * F_up / 1.6", step.unit, step.meaning, step.source)
        return _if_same(sheet, step)


def _if_same(sheet: Sheet, step: Step) -> Iterable[Step]:
    """The steps of a sheet that lead to a value, if it is the one that the check has."""
    if not math.isclose(sheet[step.symbol], float(step.value), rel_tol=1e-9):  # type: ignore[arg-type]
        return (step,)
    return sheet.trace(step.symbol)


def _worked(step: Step, formula: str, before: tuple[Step, ...], source: Source) -> Step:
    told = {one.symbol: one for one in before}
    terms = tuple(Term(n, told[n].value, told[n].unit) for n in names(formula))
    return replace(step, formula=formula, terms=terms, source=source)


def section_formulas(
    sheet: Sheet, section: Section, holes: tuple[Hole, ...], mark: str, unit: str, ways: str
) -> Iterator[str]:
    """Tells a rectangular tube or bar on a sheet; yields formulas of the unit: mm2, mm3, mm4.

    `mark` ends the symbols, `ways` is the order of the axes. With holes, those of the section that
    they leave.
    """
    outer, inner = section.outer, section.inner
    if not isinstance(outer, Rectangle) or not (inner is None or isinstance(inner, Rectangle)):
        return
    o, i = f"{mark}o", f"{mark}i"
    _outline(sheet, outer, o, "outside")
    if inner is not None:
        _outline(sheet, inner, i, "inside")
    area = f"A_{o} - A_{i}" if inner is not None else f"w_{o} * v_{o} - 4 * k_{o}"
    if inner is None and not outer.corner_mm:
        area = f"w_{o} * v_{o}"
    sheet.work(f"A_{mark}", area, "mm2", "area", GEOMETRY)
    for way in "xy":
        less = f" - I_{way}{i}" if inner is not None else " * 1"
        sheet.work(f"I_{way}{mark}", f"I_{way}{o}{less}", "mm4", f"I about {way}", GEOMETRY)
    edge, n = {"x": f"v_{o} / 2", "y": f"w_{o} / 2"}, mark
    if holes:
        edge, n = _drilled(sheet, outer, holes, mark), "n"
        area = f"A_{mark} - sum(w_h * v_h)"
    if unit == "mm2":
        yield area
    for way in ways:
        if unit == "mm3":
            yield f"I_{way}{n} / ({edge[way]})"
    if unit == "mm4":
        yield f"min(I_x{n}, I_y{n})"


def _outline(sheet: Sheet, outline: Rectangle, mark: str, words: str) -> None:
    """Area and second moments of a rectangle with round corners."""
    w, v, c, k, e, j = (f"{letter}_{mark}" for letter in "wvckej")
    sheet.given(w, outline.width_mm, "mm", f"width {words}, along x", PROFILE)
    sheet.given(v, outline.depth_mm, "mm", f"depth {words}, along y", PROFILE)
    if outline.corner_mm <= 0.0:
        sheet.work(f"A_{mark}", f"{w} * {v}", "mm2", f"area {words}", GEOMETRY)
        sheet.work(f"I_x{mark}", f"{w} * {v}**3 / 12", "mm4", f"I about x, {words}", GEOMETRY)
        sheet.work(f"I_y{mark}", f"{v} * {w}**3 / 12", "mm4", f"I about y, {words}", GEOMETRY)
        return
    sheet.given(c, outline.corner_mm, "mm", f"radius of the corners {words}", PROFILE)
    rest = f"pi * {c}**2 / 4 * ({c} - 4 * {c} / (3 * pi))"
    sheet.work(k, f"(1 - pi / 4) * {c}**2", "mm2", "what rounding takes from a corner", GEOMETRY)
    sheet.work(e, f"({c}**3 / 2 - {rest}) / {k}", "mm", "its centre from the edge", GEOMETRY)
    own = (
        f"{c}**4 / 3 - {c}**4 * (pi / 16 - 4 / (9 * pi))"
        f" - pi * {c}**2 / 4 * ({c} - 4 * {c} / (3 * pi))**2 - {k} * {e}**2"
    )
    sheet.work(j, own, "mm4", "its own I", GEOMETRY)
    sheet.work(f"A_{mark}", f"{w} * {v} - 4 * {k}", "mm2", f"area {words}", GEOMETRY)
    for way, across, along in (("x", w, v), ("y", v, w)):
        formula = f"{across} * {along}**3 / 12 - 4 * ({j} + {k} * ({along} / 2 - {e})**2)"
        sheet.work(f"I_{way}{mark}", formula, "mm4", f"I about {way}, {words}", GEOMETRY)


def _drilled(sheet: Sheet, outer: Rectangle, holes: tuple[Hole, ...], mark: str) -> dict[str, str]:
    """What holes leave of a section; gives the distance of the farther edge about each axis."""
    rows: dict[str, list[float]] = {"x_h": [], "y_h": [], "w_h": [], "v_h": []}
    for hole in holes:
        side, inward = (-1.0 if hole.face.endswith("-") else 1.0), hole.depth_mm / 2
        if hole.face.startswith("x"):
            strip = (side * (outer.width_mm / 2 - inward), hole.across_mm,
                     hole.depth_mm, hole.width_mm)  # fmt: skip
        else:
            strip = (hole.across_mm, side * (outer.depth_mm / 2 - inward),
                     hole.width_mm, hole.depth_mm)  # fmt: skip
        for row, value in zip(rows.values(), strip, strict=True):
            row.append(value)
    words = {"x_h": "holes at this level: x of the wall's strip", "y_h": "y of the strip",
             "w_h": "strip along x", "v_h": "strip along y"}  # fmt: skip
    for name, row in rows.items():
        told: Number = tuple(row)
        sheet.given(name, told, "mm", words[name], MODEL)
    work = sheet.work
    work("A_n", f"A_{mark} - sum(w_h * v_h)", "mm2", "area that is left", GEOMETRY)
    work("x_0", "-sum(w_h * v_h * x_h) / A_n", "mm", "its centroid, along x", GEOMETRY)
    work("y_0", "-sum(w_h * v_h * y_h) / A_n", "mm", "its centroid, along y", GEOMETRY)
    work("I_xn", f"I_x{mark} - A_n * y_0**2 - sum(w_h * v_h * (v_h**2 / 12 + y_h**2))", "mm4",
         "I about x that is left", GEOMETRY)  # fmt: skip
    work("I_yn", f"I_y{mark} - A_n * x_0**2 - sum(w_h * v_h * (w_h**2 / 12 + x_h**2))", "mm4",
         "I about y that is left", GEOMETRY)  # fmt: skip
    return {"x": f"v_{mark}o / 2 + abs(y_0)", "y": f"w_{mark}o / 2 + abs(x_0)"}
