"""The right side of the cover: the slot for a site plan, and the job seen as a whole."""

from __future__ import annotations

from generator.drawings import layers
from generator.drawings.fill import GAP
from generator.drawings.sheets import Frame, PlacedView
from generator.drawings.view import Item, Line, Outline, Scale, Text, View
from generator.frozen import dataclass

_WORDS = 14.0  # plotted mm under a picture for its title


@dataclass(frozen=True, slots=True)
class Slots:
    """What stands on the right of the cover."""

    views: tuple[PlacedView, ...]
    items: tuple[Item, ...]


def slots(room: Frame, whole: View, scale: Scale) -> Slots:
    """The empty frame of the site plan above, the pictorial view below it."""
    left, low, right, top = room
    middle = low + (top - low) * 0.52
    frame = ((left, middle), (right, middle), (right, top), (left, top))
    items: list[Item] = [Outline(frame, layers.SYMBOLS)]
    title = "SITE PLAN - TO BE ATTACHED BY THE APPLICANT"
    items.append(Text((left + 3.0, top - 5.0), title, scale.small, layers.TEXT, "left"))
    below: Frame = (left, low + _WORDS, right, middle - GAP)
    view = _fitted(whole, below, scale.metric)
    at = (left, low + _WORDS - 6.0)
    words = "PICTORIAL VIEW - NOT TO SCALE"
    items.append(Text(at, words, scale.text, layers.TEXT, "left"))
    rule = at[1] - scale.text
    items.append(Line((left, rule), (right, rule), layers.TEXT))
    return Slots((view,), tuple(items))


def _fitted(view: View, frame: Frame, metric: bool) -> PlacedView:
    """A view as large as the frame lets it be, in its middle."""
    x0, y0, x1, y1 = view.bounds
    k = max((x1 - x0) / (frame[2] - frame[0]), (y1 - y0) / (frame[3] - frame[1]))
    # A round number of real mm to the plotted one: files then hold no digits without meaning.
    scale = Scale(float(max(1, -(-int(k * 10) // 10) + 1)), "NONE", metric)
    k = scale.denominator
    middle = ((frame[0] + frame[2]) / 2, (frame[1] + frame[3]) / 2)
    origin = (middle[0] - (x0 + x1) / 2 / k, middle[1] - (y0 + y1) / 2 / k)
    return PlacedView(view, scale, origin, frame, view.title)
