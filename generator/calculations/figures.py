"""Free bodies: a post under its cables, a rail over posts, a pushed cable, a couple of anchors.

A figure is a list of marks in millimetres, y up; the page and the paper draw the same list.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Literal

from generator.calculations import words
from generator.frozen import dataclass
from generator.geometry import Vec2
from generator.strength.read import PostCase
from generator.strength.result import Check
from generator.strength.steps import Number

Kind = Literal["line", "thick", "dash", "arrow", "text"]
Anchor = Literal["left", "centre", "right"]


@dataclass(frozen=True, slots=True)
class Mark:
    """A line, an arrow to its second point, or text at its first, marked up like symbols."""

    kind: Kind
    a: Vec2
    b: Vec2 = (0.0, 0.0)
    text: str = ""
    anchor: Anchor = "left"


@dataclass(frozen=True, slots=True)
class Figure:
    """Marks on a field of this size, what they show in words."""

    width_mm: float
    height_mm: float
    marks: tuple[Mark, ...]
    caption: str


_WIDTH, _ACROSS = 180.0, 66.0
_WHERE = "Not to scale across."


class _Pad:
    """Marks as they are made."""

    def __init__(self, values: Mapping[str, tuple[Number, str]], *, metric: bool) -> None:
        self.marks: list[Mark] = []
        self.values, self.metric = values, metric

    def has(self, *names: str) -> bool:
        return all(name in self.values for name in names)

    def value(self, name: str) -> float:
        found = self.values[name][0]
        assert not isinstance(found, tuple)
        return found

    def row(self, name: str) -> tuple[float, ...]:
        found = self.values[name][0]
        return found if isinstance(found, tuple) else (found,)

    def told(self, name: str, *, beside: bool = True) -> str:
        """`P = 890 N (200 lbf)`, or without what stands beside it."""
        value, unit = self.values[name]
        if isinstance(value, tuple):
            return f"{words.symbol(name)} = {words.numbers(value, 4)} {words.unit(unit)}"
        more = words.customary(value, unit) if beside and not self.metric else ""
        return f"{words.symbol(name)} = {words.number(value, 4)} {words.unit(unit)}{more}"

    def line(self, a: Vec2, b: Vec2, kind: Kind = "line") -> None:
        self.marks.append(Mark(kind, a, b))

    def arrow(self, a: Vec2, b: Vec2) -> None:
        self.marks.append(Mark("arrow", a, b))

    def text(self, at: Vec2, text: str, anchor: Anchor = "left") -> None:
        self.marks.append(Mark("text", at, text=text, anchor=anchor))

    def held(self, x: float, y: float) -> None:
        """A fixed end: a line with strokes under it."""
        for k in range(-3, 4):
            self.line((x + 2.0 * k, y), (x + 2.0 * k - 2.0, y - 2.0))
        self.line((x - 8.0, y), (x + 8.0, y), kind="thick")

    def upright(self, x: float, low: float, high: float, text: str) -> None:
        """A dimension that stands upright."""
        self.line((x - 1.5, low), (x + 1.5, low))
        self.line((x - 1.5, high), (x + 1.5, high))
        self.line((x, low), (x, high))
        self.text((x + 1.5, (low + high) / 2 - 1.0), text)

    def level(self, y: float, left: float, right: float, text: str) -> None:
        """A dimension that lies level, its text over the line."""
        self.line((left, y - 1.5), (left, y + 1.5))
        self.line((right, y - 1.5), (right, y + 1.5))
        self.line((left, y), (right, y))
        self.text(((left + right) / 2, y + 1.2), text, "centre")


def figure_of(
    title: str, checks: Sequence[Check], post: PostCase | None, *, metric: bool
) -> Figure | None:
    """The free body of a member; its numbers are those of the lines of its checks."""
    values: dict[str, tuple[Number, str]] = {}
    for check in checks:
        for step in check.steps:
            values.setdefault(step.symbol, (step.value, step.unit))
    if title == "Handrail":
        return None
    pad = _Pad(values, metric=metric)
    drawn: dict[str, Callable[[], tuple[float, str]]] = {
        "Rail": lambda: _rail(pad),
        "Cables": lambda: _cable(pad),
        "Anchors of a post": lambda: _anchors(pad, post),
    }
    height, caption = drawn.get(title, lambda: _post(pad, post))()
    return Figure(_WIDTH, height, tuple(pad.marks), f"{caption} {_WHERE}")


def _post(pad: _Pad, post: PostCase | None) -> tuple[float, str]:
    """One view along each leg with its cables and prop, one across with the load at the top."""
    foot, tall = 16.0, 62.0
    top = pad.value("H")
    scale = tall / top
    legs = range(1, len(post.pulls) + 1) if post else range(0)
    views = [f"along leg {k}" for k in legs if pad.has(f"Q_{k}")] + ["across the leg"]
    room = (_WIDTH - _ACROSS) / max(len(views) - 1, 1) if len(views) > 2 else _WIDTH / 2
    for n, view in enumerate(views):
        x = n * room + (14.0 if view == "across the leg" else 22.0)
        pad.held(x, foot)
        pad.line((x, foot), (x, foot + tall), "thick")
        pad.text((x - 10.0, 8.0), view)
        if view == "across the leg":
            _loaded(pad, x, foot + tall, foot)
        else:
            k = view.removeprefix("along leg ")
            _pulled(pad, k, (x, foot, scale), narrow=len(views) > 2)
    return tall + foot + 14.0, (
        "Post held at its base, the forces on it; heights of the lowest and highest cable in mm."
    )


def _loaded(pad: _Pad, x: float, top: float, foot: float) -> None:
    name = next((n for n in ("V_y", "P", "V_x") if pad.has(n)), None)
    if name:
        pad.arrow((x - 12.0, top), (x - 1.0, top))
        pad.text((x - 12.0, top + 3.0), pad.told(name))
    pad.upright(x + 4.0, foot, top, pad.told("H"))
    if pad.has("D_top"):
        pad.text((x + 5.5, (top + foot) / 2 - 7.0), pad.told("D_top"))


def _pulled(pad: _Pad, k: str, at: tuple[float, float, float], *, narrow: bool) -> None:
    x, foot, scale = at
    pulls = pad.row(f"Q_{k}")
    heights = next((pad.row(n) for n in (f"h_{k}", f"y_{k}") if pad.has(n)), ())
    way = 1.0 if sum(pulls) >= 0 else -1.0
    for y, force in zip(heights, pulls, strict=False):
        if force:
            pad.arrow((x, foot + y * scale), (x + way * 9.0, foot + y * scale))
    last = foot + (heights[-1] if heights else 0.0) * scale
    middle = foot + sum(heights) / max(len(heights), 1) * scale
    told = pad.told(f"Q_{k}")
    if not _even(pulls):
        least, most = (words.number(one, 4) for one in (min(pulls), max(pulls)))
        told = f"{words.symbol(f'Q_{k}')} = {least} to {most} N"
    pad.text((x + 12.0, middle + 2.0), told)
    if pad.has(f"R_{k}", "H_r"):
        y = foot + pad.value("H_r") * scale
        pad.arrow((x + way * 14.0, y), (x + way * 1.0, y))
        pad.text((x + 16.0, y - 1.0), pad.told(f"R_{k}", beside=not narrow))
    if pad.has(f"M_{k}"):
        pad.text((x - 10.0, 2.5), pad.told(f"M_{k}"))
    if heights:
        pad.line((x - 12.0, last), (x - 8.0, last))
        pad.line((x - 12.0, foot + heights[0] * scale), (x - 8.0, foot + heights[0] * scale))
        pad.line((x - 10.0, foot), (x - 10.0, last))
        pad.text((x - 12.5, last - 1.0), words.number(heights[-1], 4), "right")
        pad.text((x - 12.5, foot + heights[0] * scale - 1.0), words.number(heights[0], 4), "right")


def _even(row: Sequence[float]) -> bool:
    return max(row) - min(row) < 1e-6 * max(map(abs, row))


def _rail(pad: _Pad) -> tuple[float, str]:
    left, right, y = 30.0, 120.0, 24.0
    middle = (left + right) / 2
    pad.line((left - 8.0, y), (right + 8.0, y), "thick")
    for x in (left, right):
        pad.line((x, y), (x - 3.0, y - 5.0))
        pad.line((x, y), (x + 3.0, y - 5.0))
        pad.line((x - 3.0, y - 5.0), (x + 3.0, y - 5.0))
    if pad.has("P"):
        pad.arrow((middle, y + 14.0), (middle, y + 1.0))
        pad.text((middle + 2.0, y + 9.0), pad.told("P"))
    for name in ("w", "w_v"):
        if pad.has(name):
            pad.text((left, y + 3.0), pad.told(name))
            for k in range(10):
                x = left + (right - left) * (k + 0.5) / 10
                pad.arrow((x, y + 7.0), (x, y + 1.0))
            break
    if pad.has("R"):
        pad.arrow((left - 24.0, y), (left - 9.0, y))
        pad.arrow((right + 24.0, y), (right + 9.0, y))
        pad.text((right + 12.0, y + 3.0), pad.told("R"))
    if pad.has("L_r"):
        pad.level(y - 13.0, left, right, pad.told("L_r"))
    if pad.has("o_r"):
        pad.text((right + 9.0, y - 6.0), pad.told("o_r"))
    return 44.0, "Rail over the posts of its longest bay, the load at mid-span, thrust at its ends."


def _cable(pad: _Pad) -> tuple[float, str]:
    left, right, y = 34.0, 140.0, 30.0
    middle = (left + right) / 2
    low = (middle, y - 9.0)
    for x in (left, right):
        pad.line((x, y - 6.0), (x, y + 6.0), "thick")
    pad.line((left, y), (right, y), "dash")
    pad.line((left, y), low)
    pad.line(low, (right, y))
    pad.arrow((left, y), (left - 15.0, y + 2.5))
    pad.arrow((right, y), (right + 15.0, y + 2.5))
    if pad.has("T_i"):
        pad.text((right + 4.0, y + 6.0), pad.told("T_i"))
        pad.arrow((middle, y + 9.0), (middle, y - 8.0))
        pushed = "P_e" if pad.has("P_e") else "P_i"
        if pad.has(pushed):
            pad.text((middle + 2.0, y + 5.0), pad.told(pushed))
        pad.text((middle, y - 13.0), pad.told("d_i"), "centre")
        pad.level(y - 21.0, left, right, pad.told("L_s"))
        return (
            48.0,
            "One of the cables that share the infill load, pushed at mid-span of the longest.",
        )
    pad.text((right + 4.0, y + 6.0), pad.told("T_max"))
    return 48.0, "One cable at its tightest."


def _anchors(pad: _Pad, post: PostCase | None) -> tuple[float, str]:
    x, y = 66.0, 16.0
    if post is not None and post.mount == "core":
        pad.held(x, y)
        pad.line((x, y), (x, y + 30.0), "thick")
        for n, name in enumerate(("M_c", "V_c")):
            if pad.has(name):
                pad.text((x + 14.0, y + 22.0 - 6.0 * n), pad.told(name))
        return 52.0, "Post in its core: what the concrete has to take."
    fascia = post is not None and post.mount == "fascia"
    half, arm = 18.0, ("s_v" if fascia else "s_b")
    if fascia:
        _plate_upright(pad, x, y + 18.0, half)
        pad.upright(x - 22.0, y + 18.0 - half, y + 18.0 + half, "")
        pad.text((x - 24.0, y + 17.0), pad.told(arm), "right")
    else:
        pad.line((x - half - 5.0, y + 6.0), (x + half + 5.0, y + 6.0), "thick")
        pad.line((x, y + 6.0), (x, y + 34.0), "thick")
        for side in (-1.0, 1.0):
            pad.line((x + side * half, y + 8.0), (x + side * half, y - 6.0))
        pad.arrow((x - half, y + 5.0), (x - half, y - 9.0))
        pad.arrow((x + half, y - 9.0), (x + half, y + 5.0))
        pad.arrow((x - 12.0, y + 32.0), (x - 1.0, y + 32.0))
        pad.level(y - 13.0, x - half, x + half, pad.told(arm))
    texts = [n for n in ("M_xb", "M_yb", "F_x", "F_y", "N_up", "T_b", "V_b") if pad.has(n)]
    for n, name in enumerate(texts):
        pad.text((x + 44.0, y + 34.0 - 6.0 * n), pad.told(name))
    return (
        66.0 if fascia else 58.0,
        "Couple of two rows of anchors under the moments at their level.",
    )


def _plate_upright(pad: _Pad, x: float, y: float, half: float) -> None:
    """A side plate on a fascia, its rows of bolts over each other."""
    for k in range(-5, 6):
        pad.line((x - 1.0, y + 4.0 * k), (x - 3.5, y + 4.0 * k - 2.5))
    pad.line((x - 1.0, y - half - 8.0), (x - 1.0, y + half + 8.0))
    pad.line((x, y - half - 4.0), (x, y + half + 4.0), "thick")
    for side in (-1.0, 1.0):
        pad.line((x - 8.0, y + side * half), (x + 2.0, y + side * half))
    pad.arrow((x + 1.0, y + half), (x - 13.0, y + half))
    pad.arrow((x - 13.0, y - half), (x + 1.0, y - half))
    pad.line((x + 10.0, y - 6.0), (x + 10.0, y + half + 6.0), "thick")
    pad.line((x, y), (x + 10.0, y))
