"""A detail in the making: bodies cut by its plane and hatched, what is seen beyond, what is hidden.

Draw what lies in front first: whatever is drawn later is hidden behind it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from generator.drawings import layers
from generator.drawings.draft import Draft
from generator.drawings.lettering import Box
from generator.drawings.project import Plane, clipped, covered, picture, silhouette, uncovered
from generator.drawings.section import Ring, cut_of, reach
from generator.drawings.symbols import break_line
from generator.drawings.view import Arc, Hatch, Line, Outline, Scale
from generator.frozen import dataclass
from generator.geometry import Vec2
from generator.parts.assembly import Part

Window = tuple[float, float, float, float]
_ON_EDGE = 1e-6


@dataclass(frozen=True, slots=True)
class Hatching:
    """Turn of the lines in degrees, and their distance as plotted, mm."""

    turn_deg: float
    spacing: float


METAL = Hatching(45.0, 1.2)
INSIDE = Hatching(135.0, 1.2)
PLATE = Hatching(135.0, 1.2)
WOOD = Hatching(60.0, 3.0)
BOARD = Hatching(120.0, 2.4)
BLOCK = Hatching(30.0, 2.4)
CONCRETE = Hatching(45.0, 4.5)
GROUT = Hatching(0.0, 0.9)


class Cutaway:
    """One plane and the window of it that is shown; x and y are those of the plane."""

    def __init__(self, scale: Scale, plane: Plane, window: Window) -> None:
        self.draft = Draft(scale)
        self.scale = scale
        self.plane = plane
        self.window = window
        x0, y0, x1, y1 = window
        self.frame = Box(((x0, y0), (x1, y0), (x1, y1), (x0, y1)))
        self.fronts: list[Box] = []
        self._broken: dict[int, list[Vec2]] = {}

    def box(self, part: Part) -> Box:
        return silhouette(part, self.plane)

    def shows(self, part: Part, depth_mm: float) -> bool:
        """Whether a part is in the window, at the plane or up to `depth_mm` behind it."""
        low, high = reach(part, self.plane)
        return high > -depth_mm and low < _ON_EDGE and self.box(part).touches(self.frame)

    def cut(self, part: Part, hatching: Hatching, layer: str = layers.CUT) -> bool:
        """Draws the cut face of a part; False where the plane misses it."""
        cut = cut_of(part, self.plane)
        if cut is None:
            return False
        self.face(cut.pieces, hatching, cut.holes, layer)
        return True

    def face(
        self,
        pieces: Iterable[Ring],
        hatching: Hatching,
        holes: Sequence[Ring] = (),
        layer: str = layers.CUT,
    ) -> None:
        """A cut face of some pieces with holes, ended by break lines at the window."""
        spacing = self.scale.plotted(hatching.spacing)
        for piece in pieces:
            shown = self._clip(piece)
            if len(shown) < 3:
                continue
            self._sides(shown, layer, ())
            self.draft.draw(Hatch((shown, *holes), hatching.turn_deg, spacing, layers.HATCH))
            if not holes:
                self.fronts.append(Box(shown))
        for hole in holes:
            self._sides(hole, layer, ())
        self._break()

    def seen(self, part: Part, layer: str = layers.SEEN, *, solid: bool = True) -> None:
        """Draws a part beyond the plane, without what is behind the bodies drawn so far."""
        fronts = tuple(self.fronts)
        for item in picture(part, self.plane, layer):
            match item:
                case Outline(points, _, _):
                    shown = self._clip(points)
                    if len(shown) > 2:
                        self._sides(shown, layer, fronts)
                        if solid:
                            self.fronts.append(Box(shown))
                case Line(a, b, _):
                    self._line(a, b, layer, fronts)
                case Arc(centre, radius, _):
                    self._circle(centre, radius, layer, fronts)
        self._break()

    def hidden(self, part: Part) -> None:
        """Draws a part inside others in dashed lines."""
        for item in picture(part, self.plane, layers.UNSEEN):
            match item:
                case Outline():
                    for a, b in item.sides:
                        self._line(a, b, layers.UNSEEN, ())
                case Line(a, b, _):
                    self._line(a, b, layers.UNSEEN, ())
                case Arc(centre, radius, _):
                    self._circle(centre, radius, layers.UNSEEN, ())

    def inside(self, part: Part, layer: str = layers.SEEN) -> None:
        """Draws a bolt or stud: in full where it is seen, dashed where a cut body hides it."""
        for item in picture(part, self.plane, layer):
            if isinstance(item, Arc):
                self._circle(item.centre, item.radius, layer, ())
            sides = item.sides if isinstance(item, Outline) else ()
            for a, b in sides:
                self._line(a, b, layer, self.fronts)
                for front in self.fronts:
                    hidden = covered(a, b, front)
                    if hidden:
                        self._line(*hidden, layers.UNSEEN, ())

    def _circle(self, centre: Vec2, radius: float, layer: str, fronts: Sequence[Box]) -> None:
        x, y = centre
        r = radius
        square = Box(((x - r, y - r), (x + r, y - r), (x + r, y + r), (x - r, y + r)))
        x0, y0, x1, y1 = self.window
        inside = x0 <= x - r and y0 <= y - r and x + r <= x1 and y + r <= y1
        if inside and not any(front.touches(square) for front in fronts):
            self.draft.draw(Arc(centre, radius, layer))

    def line(self, a: Vec2, b: Vec2, layer: str) -> None:
        """A line as far as the window shows it."""
        self._line(a, b, layer, ())

    def _line(self, a: Vec2, b: Vec2, layer: str, fronts: Sequence[Box]) -> None:
        inside = covered(a, b, self.frame)
        if inside is None:
            return
        self.draft.draw(*(Line(p, q, layer) for p, q in self._visible(*inside, fronts)))

    def _clip(self, points: Ring) -> Ring:
        x0, y0, x1, y1 = self.window
        for normal, least in (
            ((1.0, 0.0), x0),
            ((-1.0, 0.0), -x1),
            ((0.0, 1.0), y0),
            ((0.0, -1.0), -y1),
        ):
            points = clipped(points, normal, least) if points else ()
        return points

    def _sides(self, points: Ring, layer: str, fronts: Sequence[Box]) -> None:
        """The sides of a clipped outline; those that lie on the window are kept to be broken."""
        for a, b in zip(points, (*points[1:], points[0]), strict=True):
            edge, visible = self._edge(a, b), self._visible(a, b, fronts)
            if edge is None:
                self.draft.draw(*(Line(p, q, layer) for p, q in visible))
            elif math.dist(a, b) > _ON_EDGE:
                self._broken.setdefault(edge, []).extend(p for line in visible for p in line)

    @staticmethod
    def _visible(a: Vec2, b: Vec2, fronts: Sequence[Box]) -> list[tuple[Vec2, Vec2]]:
        field = Box((a, b))
        return uncovered(a, b, [front for front in fronts if front.touches(field)])

    def _edge(self, a: Vec2, b: Vec2) -> int | None:
        """Which side of the window two points both lie on."""
        x0, y0, x1, y1 = self.window
        for edge, (axis, at) in enumerate(((0, x0), (0, x1), (1, y0), (1, y1))):
            if abs(a[axis] - at) < _ON_EDGE and abs(b[axis] - at) < _ON_EDGE:
                return edge
        return None

    def _break(self) -> None:
        """One break line for all of a body that goes on past a side of the window."""
        for points in self._broken.values():
            a, b = min(points), max(points)
            if math.dist(a, b) > _ON_EDGE:
                break_line(self.draft, a, b)
        self._broken.clear()
