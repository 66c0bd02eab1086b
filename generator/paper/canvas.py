"""A PDF of drawn pages: lines, arcs, fills and real text, in millimetres from the lower left."""
# The PDF library tells types of little of what it takes.
# pyright: reportArgumentType=false, reportAttributeAccessIssue=false
# pyright: reportIncompatibleMethodOverride=false

from __future__ import annotations

import io
import math
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any, Literal

from generator import __version__
from generator.geometry import Vec2
from generator.paper.lettering import BOLD, CAPITAL, REGULAR, load_faces, number, shown, width

POINTS = 72 / 25.4
"""Points, the unit of PDF, in a millimetre."""

Colour = tuple[float, float, float]
Anchor = Literal["left", "centre", "right"]
BLACK: Colour = (0.0, 0.0, 0.0)


class Pages:
    """A PDF in the making; pages are drawn one after the other.

    The same calls give the same bytes: no clock, no chance. `exact` asks viewers to print without
    scaling, for templates.
    """

    def __init__(self, title: str, *, subject: str = "", exact: bool = False) -> None:
        self._bytes = io.BytesIO()
        self._canvas = new_canvas(self._bytes, title, subject)
        if exact:
            self._canvas.setViewerPreference("PrintScaling", "None")
        self._count = 0

    @contextmanager
    def page(self, width_mm: float, height_mm: float, bookmark: str = "") -> Iterator[Page]:
        """One page of this size, told in the outline of the file under `bookmark`."""
        canvas = self._canvas
        canvas.setPageSize((width_mm * POINTS, height_mm * POINTS))
        if bookmark:
            key = f"page{self._count}"
            canvas.bookmarkPage(key)
            canvas.addOutlineEntry(bookmark, key, 0, 0)
        canvas.saveState()
        canvas.scale(POINTS, POINTS)
        canvas.setLineCap(1)
        canvas.setLineJoin(1)
        yield Page(canvas, width_mm, height_mm)
        canvas.restoreState()
        canvas.showPage()
        self._count += 1

    def data(self) -> bytes:
        """The finished file.

        Raises:
            ValueError: it has no page.
        """
        if not self._count:
            raise ValueError("a PDF without a page")
        finish(self._canvas)
        return self._bytes.getvalue()


def new_canvas(stream: io.BytesIO, title: str, subject: str = "") -> Any:
    """The PDF library's canvas, which writes the same bytes for the same calls."""
    from reportlab.pdfgen.canvas import Canvas

    load_faces()
    canvas = Canvas(stream, invariant=1, pageCompression=1, initialFontName=REGULAR)
    canvas.setTitle(title)
    canvas.setSubject(subject)
    canvas.setAuthor("")
    canvas.setCreator(f"stringline {__version__}")
    return canvas


def finish(canvas: Any) -> None:
    """Writes the file, its streams as bytes: the library's letters for bytes take half the time."""
    from reportlab import rl_config

    before = rl_config.useA85
    rl_config.useA85 = 0
    try:
        canvas.save()
    finally:
        rl_config.useA85 = before


class Page:
    """One page; lengths in millimetres, angles in degrees counter-clockwise.

    What is drawn often is written into the page's content here: the library's own way takes several
    times as long.
    """

    def __init__(self, canvas: Any, width_mm: float, height_mm: float) -> None:
        self.canvas = canvas
        self.width_mm, self.height_mm = width_mm, height_mm

    def _add(self, operators: str) -> None:
        self.canvas._code.append(operators)

    def pen(self, width_mm: float, colour: Colour = BLACK, dashes: Sequence[float] = ()) -> None:
        """How lines are drawn from here on; `dashes` are lengths of line and gap in turn."""
        lengths = " ".join(map(number, dashes))
        self._add(f"{number(width_mm)} w {_tone(colour)} RG [{lengths}] 0 d")

    @contextmanager
    def clipped(self, left: float, bottom: float, right: float, top: float) -> Iterator[None]:
        """Whatever is drawn inside this block ends at the rectangle."""
        self.canvas.saveState()
        path = self.canvas.beginPath()
        path.rect(left, bottom, right - left, top - bottom)
        self.canvas.clipPath(path, stroke=0, fill=0)
        yield
        self.canvas.restoreState()

    def line(self, a: Vec2, b: Vec2) -> None:
        self._add(f"{_at(a)} m {_at(b)} l S")

    def outline(
        self,
        points: Iterable[Vec2],
        *,
        closed: bool = True,
        fill: Colour | None = None,
        stroke: bool = True,
    ) -> None:
        """Straight lines from point to point; filled with a colour where one is given."""
        path = " ".join(f"{_at(at)} {'l' if k else 'm'}" for k, at in enumerate(points))
        tone = "" if fill is None else f"{_tone(fill)} rg "
        paint = ("B" if stroke else "f") if tone else ("S" if stroke else "n")
        self._add(f"{tone}{path}{' h' if closed else ''} {paint}")

    def arc(
        self, centre: Vec2, radius_mm: float, start_deg: float = 0.0, end_deg: float = 360.0
    ) -> None:
        """From `start_deg` on to `end_deg`; 0 to 360 is a circle."""
        x, y = centre
        if end_deg - start_deg >= 360.0:
            self.canvas.circle(x, y, radius_mm, stroke=1, fill=0)
            return
        sweep = (end_deg - start_deg) % 360.0
        self.canvas.arc(
            x - radius_mm, y - radius_mm, x + radius_mm, y + radius_mm, start_deg, sweep
        )

    def text(
        self,
        at: Vec2,
        text: str,
        height_mm: float,
        *,
        anchor: Anchor = "left",
        turn_deg: float = 0.0,
        bold: bool = False,
        colour: Colour = BLACK,
    ) -> None:
        """One line of real text on its base line; `height_mm` is that of a capital."""
        face, size = BOLD if bold else REGULAR, height_mm / CAPITAL
        share = {"left": 0.0, "centre": 0.5, "right": 1.0}[anchor]
        back = share * width(text, face, size) if share else 0.0
        turn = math.radians(turn_deg)
        c, s = math.cos(turn), math.sin(turn)
        across = f"{c:.7f} {s:.7f} {-s:.7f} {c:.7f}" if turn_deg else "1 0 0 1"
        start = _at((at[0] - back * c, at[1] - back * s))
        told = shown(self.canvas, face, size, text)
        self._add(f"{_tone(colour)} rg BT {across} {start} Tm {told} {number(1.2 * size)} TL T* ET")


def _at(point: Vec2) -> str:
    return f"{number(point[0])} {number(point[1])}"


def _tone(colour: Colour) -> str:
    return " ".join(map(number, colour))
