"""Where posts stand along a leg: equal bays on the level, treads at the setback on a stair."""

from __future__ import annotations

import math
from collections.abc import Sequence

from generator.frozen import dataclass
from generator.geometry import Vec2, cosd, sind
from generator.layout.model import Flight

_TIE_MM = 1e-6


def level_stations(first_mm: float, last_mm: float, max_spacing_mm: float) -> tuple[float, ...]:
    """End posts and the fewest intermediate posts that keep equal bays within the spacing."""
    length = last_mm - first_mm
    bays = max(1, math.ceil(length / max_spacing_mm - 1e-9))
    inner = (first_mm + length * k / bays for k in range(1, bays))
    return (first_mm, *inner, last_mm)


@dataclass(frozen=True, slots=True)
class TreadPost:
    """A place for a post on a stair: t from the upper nosing, and the tread (None: a floor)."""

    t_mm: float
    tread: int | None


def tread_post(flight: Flight, tread: int, setback_mm: float) -> TreadPost:
    """The post on a tread, `setback_mm` behind its nosing."""
    return TreadPost(flight.nosing_t(tread) - setback_mm, tread)


def stair_posts(
    flight: Flight, upper: TreadPost, lower: TreadPost, setback_mm: float, max_spacing_mm: float
) -> tuple[TreadPost, ...]:
    """End posts and intermediate posts on treads, from the top down (geometry.md C).

    The fewest that keep every bay, measured along the pitch, within the spacing; among those the
    longest bay is shortest; ties go to the upper tread. Where even a post on every tread leaves a
    bay too long, that is what is returned and the spacing check tells.
    """
    along = math.hypot(1.0, flight.slope)
    spots = [
        post
        for k in range(1, flight.treads + 1)
        if upper.t_mm + _TIE_MM < (post := tread_post(flight, k, setback_mm)).t_mm
        and post.t_mm < lower.t_mm - _TIE_MM
    ]
    places = [upper, *spots, lower]
    stations = [post.t_mm * along for post in places]
    chosen = _fewest(stations, max_spacing_mm)
    return tuple(places[k] for k in chosen)


def _fewest(stations: Sequence[float], limit: float) -> list[int]:
    """Indices of the stops that cross `stations` in the fewest bays, the longest bay shortest.

    The longest bay is found by asking, for each possible length in rising order by bisection,
    whether the fewest bays can still be kept; the walk back takes the upper stop among equals.
    """
    least = len(_greedy(stations, limit)) - 1
    lengths = sorted(
        {
            b - a
            for i, a in enumerate(stations)
            for b in stations[i + 1 :]
            if b - a <= limit + _TIE_MM
        }
    )
    low, high = 0, len(lengths) - 1
    while low < high:
        middle = (low + high) // 2
        if len(_greedy(stations, lengths[middle])) - 1 <= least:
            high = middle
        else:
            low = middle + 1
    longest = lengths[low] if lengths else limit
    return _uppermost(stations, longest, least)


def _greedy(stations: Sequence[float], limit: float) -> list[int]:
    """Stops that go as far as they can each time; a gap over the limit is stepped over."""
    stops = [0]
    while stops[-1] < len(stations) - 1:
        here = stops[-1]
        reach = here + 1
        while reach + 1 < len(stations) and stations[reach + 1] - stations[here] <= limit + _TIE_MM:
            reach += 1
        stops.append(reach)
    return stops


def _uppermost(stations: Sequence[float], limit: float, bays: int) -> list[int]:
    """Among ways with that many bays within the limit, the one whose stops lie highest up."""
    last = len(stations) - 1
    # reach[k]: fewest bays from stop k down to the end, by the same greedy step.
    fewest = [0] * (last + 1)
    for k in range(last - 1, -1, -1):
        reach = k + 1
        while reach + 1 <= last and stations[reach + 1] - stations[k] <= limit + _TIE_MM:
            reach += 1
        fewest[k] = 1 + min(fewest[k + 1 : reach + 1])
    stops, left = [0], bays
    while stops[-1] != last:
        here = stops[-1]
        left -= 1
        nxt = here + 1
        while nxt < last and fewest[nxt] > left:
            nxt += 1
        stops.append(nxt)
    return stops


def free_stops(
    first_mm: float, last_mm: float, free: Sequence[tuple[float, float]], most_mm: float
) -> list[float]:
    """Stops from first to last, the inner ones within free stretches, bays within `most_mm`.

    The fewest that there are, each as near to equal bays as the free stretches and the bays let
    it be. Where a bay cannot be kept, equal bays are returned and the spacing check tells.
    """
    stretches = [(a, b) for a, b in free if a <= b]

    def farthest(t: float) -> float | None:
        """The farthest stop within one bay of t: the last one, or in a free stretch."""
        if last_mm - t <= most_mm + _TIE_MM:
            return last_mm
        reach = [min(b, t + most_mm) for a, b in stretches if a <= t + most_mm]
        return max((stop for stop in reach if stop > t + _TIE_MM), default=None)

    def bays_from(t: float) -> float:
        count = 0
        while t < last_mm:
            following = farthest(t)
            if following is None:
                return math.inf
            t, count = following, count + 1
        return count

    bays = bays_from(first_mm)
    if bays == math.inf:
        return list(level_stations(first_mm, last_mm, most_mm))
    stops = [first_mm]
    for n in range(1, int(bays)):
        ideal = first_mm + (last_mm - first_mm) * n / bays
        nearest = min((min(max(ideal, a), b) for a, b in stretches), key=lambda t: abs(t - ideal))
        kept = nearest - stops[-1] <= most_mm + _TIE_MM and bays_from(nearest) <= bays - n
        stop = nearest if kept else farthest(stops[-1])
        assert stop is not None
        stops.append(stop)
    return [*stops, last_mm]


def clear_offset(
    base: Vec2,
    ahead: Vec2,
    spin_deg: tuple[float, float],
    size: tuple[float, float],
    gap: float,
) -> float:
    """Smallest p at which two plates are `gap` apart, centres `base` + p `ahead` apart.

    `spin_deg` are the bearings of the plates, `size` their extent along and across those. The
    plates are apart once a side of one separates them, so each side's direction gives one linear
    condition; the smallest answer counts. For squares at a right angle with base 0 and ahead
    (1, 1) this is width + gap.
    """
    best = math.inf
    for spin in (s + quarter for s in spin_deg for quarter in (0.0, 90.0)):
        normal = (cosd(spin), sind(spin))
        reach = sum(
            (size[0] * abs(cosd(s - spin)) + size[1] * abs(sind(s - spin))) / 2 for s in spin_deg
        )
        offset = base[0] * normal[0] + base[1] * normal[1]
        rate = ahead[0] * normal[0] + ahead[1] * normal[1]
        if abs(offset) >= reach + gap and (abs(rate) < 1e-9 or offset * rate > 0.0):
            return 0.0  # they are apart already, and stay so as they are moved
        if abs(rate) < 1e-9:
            continue
        sign = 1.0 if rate > 0 else -1.0
        best = min(best, (reach + gap - sign * offset) / abs(rate))
    return max(best, 0.0)
