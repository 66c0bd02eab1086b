"""What a person wants to know of a part that is tapped: its numbers, in the units of the job."""

from __future__ import annotations

from collections.abc import Iterator

from generator.frozen import dataclass
from generator.parts.assembly import (
    Assembly,
    CableDetail,
    DrilledHole,
    Part,
    PostDetail,
    RailDetail,
    SpacerDetail,
    TreadDetail,
)
from generator.parts.legs import bays
from generator.parts.measure import cut_angles, rail_lengths
from generator.parts.shapes import Prism
from generator.units import format_inches, format_length_with_unit, parse_force

_POUND_FORCE_N = parse_force("1 lbf")
_PLACES = {"floor": "the deck", "tread": "tread", "lower-floor": "the lower floor"}
_MOUNTS = {
    "deck": "base plate on top",
    "fascia": "bolted to the face of the edge",
    "core": "set in a cored hole",
    "existing": "stands there already",
}


@dataclass(frozen=True, slots=True)
class Fact:
    """One line: what it is, its text, and the number behind a length, mm."""

    label: str
    text: str
    mm: float | None = None


class Facts:
    """The facts of every part of one job."""

    def __init__(self, assembly: Assembly) -> None:
        self._assembly = assembly
        self._metric = assembly.job.metric
        self._spacings = _spacings(assembly)
        self._held: dict[str, list[Part]] = {}
        for part in assembly.parts:
            if part.belongs_to != part.mark:
                self._held.setdefault(part.belongs_to, []).append(part)

    def of(self, part: Part) -> tuple[Fact, ...]:
        """The facts of a part, the most wanted first."""
        return tuple(self._facts(part))

    def _facts(self, part: Part) -> Iterator[Fact]:
        match part.detail:
            case PostDetail():
                yield from self._post(part, part.detail)
            case CableDetail():
                yield from self._cable(part.detail)
            case SpacerDetail():
                yield self._length("length", rail_lengths(part)[0])
                yield Fact("holes", str(len(part.detail.drilling)))
            case RailDetail():
                yield from self._rail(part)
                yield Fact("starts at", part.detail.start_on)
                yield Fact("ends at", part.detail.end_on)
            case TreadDetail():
                yield Fact("tread", f"{part.detail.number}, counted from the top")
                if abs(part.detail.deviation_mm) > 0.05:
                    yield self._length("nosing below the fitted line", part.detail.deviation_mm)
            case _:
                if part.kind in ("handrail", "blocking") and isinstance(part.shape, Prism):
                    yield from self._rail(part)
        yield Fact("item", part.item)
        if part.run:
            yield Fact("belongs to", f"run {part.run}, leg {part.leg}")

    def _post(self, part: Part, post: PostDetail) -> Iterator[Fact]:
        if post.setback_mm is not None:
            yield self._length("setback, nosing to post centre", post.setback_mm)
        yield self._length("height, base to top of rail", post.height_mm)
        yield self._length("length of the tube, long point to long point", post.length_mm)
        on = _PLACES[post.place] + (f" {post.tread}" if post.tread else "")
        yield Fact("stands on", f"{on}; {_MOUNTS[post.mount]}")
        for other, apart in self._spacings.get(part.mark, ()):
            yield self._length(f"to {other}, centre to centre along the leg", apart)
        yield Fact("kind of post", post.role)
        for drilled in post.drilling:
            yield self._hole(drilled)
        for held in self._held.get(part.mark, ()):
            if held.kind in ("base-plate", "side-plate", "anchor"):
                yield Fact(held.kind.replace("-", " "), f"{held.mark}: {held.item}")

    def _hole(self, drilled: DrilledHole) -> Fact:
        wide = self._small(drilled.width_mm)
        size = f"round {wide}"
        if drilled.shape == "slot":
            size = f"slot {wide} wide, {self._small(drilled.height_mm)} high"
        use = "cable passes" if drilled.purpose == "cable" else "stud"
        up = format_length_with_unit(drilled.axis_z_mm, self._metric)
        label = f"hole of row {drilled.row}, leg {drilled.leg}"
        return Fact(label, f"{up} up the base; {size}; {use}", drilled.axis_z_mm)

    def _rail(self, part: Part) -> Iterator[Fact]:
        names = ("long point to long point", "short point to short point", "along the centre")
        for name, length in zip(names, rail_lengths(part), strict=True):
            yield self._length(name, length)
        for end in ("start", "end"):
            miter, bevel = cut_angles(part, end)
            cuts = [
                f"{word} {abs(a):.1f}°"
                for word, a in (("miter", miter), ("bevel", bevel))
                if abs(a) >= 0.05
            ]
            yield Fact(f"{end} cut", ", ".join(cuts) or "square")

    def _cable(self, cable: CableDetail) -> Iterator[Fact]:
        job = self._assembly.job
        yield Fact("row", f"{cable.row}, counted from the bottom")
        yield self._length("length to order", cable.cut_length_mm)
        yield self._length("finished length", cable.finished_mm)
        yield self._length("between the end posts", cable.support_length_mm)
        yield Fact("tension", self._force(job.guard.tension_n))
        names = zip(
            ("start", "end"),
            cable.fittings,
            cable.ends,
            cable.posts[:: max(len(cable.posts) - 1, 1)],
            strict=False,
        )
        for side, fitting, end, post in names:
            yield Fact(f"{side}, at {post}", f"{fitting}, {end} end")

    def _length(self, label: str, mm: float) -> Fact:
        return Fact(label, format_length_with_unit(mm, self._metric), mm)

    def _small(self, mm: float) -> str:
        return f"{mm:.1f} mm" if self._metric else format_inches(mm)

    def _force(self, newtons: float) -> str:
        return f"{newtons:.0f} N" if self._metric else f"{newtons / _POUND_FORCE_N:.0f} lbf"


def _spacings(assembly: Assembly) -> dict[str, list[tuple[str, float]]]:
    """For each post, its neighbours in each leg and how far they are along it."""
    found: dict[str, list[tuple[str, float]]] = {}
    for leg in assembly.legs:
        for before, after, apart in zip(
            leg.posts, leg.posts[1:], bays(assembly, leg), strict=False
        ):
            found.setdefault(before, []).append((after, apart))
            found.setdefault(after, []).append((before, apart))
    return found
