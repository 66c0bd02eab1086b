"""A PDF of drawn pages: lines, arcs, fills and real text, in millimetres from the lower left."""
# The PDF library tells types of little of what it takes.
# pyright: reportArgumentType=false, reportAttributeAccessIssue=false
# pyright: reportIncompatibleMethodOverride=false

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any, Literal

from generator import __version__
from generator.geometry import Vec2
from generator.paper.lettering import BOLD, CAPITAL, REGULAR, load_faces

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
        from reportlab.pdfgen.canvas import Canvas

        load_faces()
        self._bytes = io.BytesIO()
        self._canvas: Any = Canvas(
            self._bytes, invariant=1, pageCompression=1, initialFontName=REGULAR
        )
        self._canvas.setTitle(title)
        self._canvas.setSubject(subject)
        self._canvas.setAuthor("")
        self._canvas.setCreator(f"stringline {__version__}")
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
        self._canvas.save()
        return self._bytes.getvalue()


class Page:
    """One page; lengths in millimetres, angles in degrees counter-clockwise."""

    def __init__(self, canvas: Any, width_mm: float, height_mm: float) -> None:
        self.canvas = canvas
        self.width_mm, self.height_mm = width_mm, height_mm

    def pen(self, width_mm: float, colour: Colour = BLACK, dashes: Sequence[float] = ()) -> None:
        """How lines are drawn from here on; `dashes` are lengths of line and gap in turn."""
        self.canvas.setLineWidth(width_mm)
        self.canvas.setStrokeColorRGB(*colour)
        self.canvas.setDash(list(dashes), 0)

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
        self.canvas.line(*a, *b)

    def outline(
        self,
        points: Iterable[Vec2],
        *,
        closed: bool = True,
        fill: Colour | None = None,
        stroke: bool = True,
    ) -> None:
        """Straight lines from point to point; filled with a colour where one is given."""
        path = self.canvas.beginPath()
        for k, (x, y) in enumerate(points):
            (path.lineTo if k else path.moveTo)(x, y)
        if closed:
            path.close()
        if fill is not None:
            self.canvas.setFillColorRGB(*fill)
        self.canvas.drawPath(path, stroke=int(stroke), fill=int(fill is not None))

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
        canvas = self.canvas
        canvas.saveState()
        canvas.setFillColorRGB(*colour)
        canvas.translate(*at)
        canvas.rotate(turn_deg)
        canvas.setFont(BOLD if bold else REGULAR, height_mm / CAPITAL)
        draw = {
            "left": canvas.drawString,
            "centre": canvas.drawCentredString,
            "right": canvas.drawRightString,
        }[anchor]
        draw(0, 0, text)
        canvas.restoreState()
