"""The permit set of a job: which views stand on which sheet, at which scale, with which words."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cached_property

from generator.drawings.cover import cover_tables
from generator.drawings.detail_site import Detail
from generator.drawings.details import details
from generator.drawings.fill import (
    EDGE,
    GAP,
    fits,
    match_lines,
    packed,
    part_on_sheet,
    part_title,
    parts,
    placed,
    size,
    stacked,
    texts_moved,
)
from generator.drawings.lettering import overlaps
from generator.drawings.made import elevation_at, plan_at
from generator.drawings.papers import paper_scale, papers_of, room_of, scales_of
from generator.drawings.pictorial import pictorial
from generator.drawings.references import referring
from generator.drawings.revise import Changes, clouded
from generator.drawings.schedule_tables import schedule_tables
from generator.drawings.sheets import Frame, PlacedView, SheetPage, SheetSet
from generator.drawings.slots import slots
from generator.drawings.stair_section import stair_section
from generator.drawings.strip import Strip, strip
from generator.drawings.tables import flowed
from generator.drawings.title_block import Paper, findings_count
from generator.drawings.view import Item, Scale, View
from generator.frozen import dataclass
from generator.parts.assembly import Assembly, LegLine
from generator.parts.legs import edge_length
from generator.parts.report import Report
from generator.spec.job import Revision

_LETTERS = 110.0  # plotted mm that lettering adds to the length of an elevation, and to its height
_SMALL_JOB = 8  # legs up to which the smaller sheet is tried
_READABLE = 3  # from the smallest scale up: the one that a smaller sheet should reach
_MOVED = 4  # dimensions whose texts may stand off their lines on the smaller sheet
_A_SHEET = 3  # elevations that a sheet should hold before a smaller scale is thought of


@dataclass(frozen=True, slots=True)
class _Page:
    """A sheet without its number and title block."""

    title: str
    views: tuple[PlacedView, ...] = ()
    items: tuple[Item, ...] = ()


def sheet_set(
    assembly: Assembly, report: Report, changes: Changes | None = None, *, strength: bool = True
) -> SheetSet:
    """Every sheet of a job in the order of the set; `changes` since a former build get clouds.

    Without `strength` the summary of its calculation is left out.
    """
    one = _Set(_in_units(assembly), report, changes, strength)
    *smaller, largest = papers_of(one.job)
    for paper in smaller:
        one.on(paper)
        if one.roomy():
            return one.made()
    one.on(largest)
    return one.made()


def _in_units(assembly: Assembly) -> Assembly:
    """The same assembly, its lengths told in the units that the drawings shall have."""
    units = assembly.job.drawings.units
    if units == "job" or (units == "mm") == assembly.job.metric:
        return assembly
    return replace(assembly, job=replace(assembly.job, units=units))


class _Set:
    """Makes views, fills sheets, numbers them."""

    def __init__(
        self, assembly: Assembly, report: Report, changes: Changes | None, strength: bool
    ) -> None:
        self.assembly, self.report, self.changes = assembly, report, changes
        self.strength = strength
        self.job = assembly.job
        self.on_paper = paper_scale(self.job)
        self.small = self.on_paper.small
        self.views: dict[tuple[str, float], list[View]] = {}

    @cached_property
    def _drawn(self) -> tuple[Detail, ...]:
        return details(self.assembly)

    def on(self, paper: Paper) -> None:
        """Sheets are to have this size from here on."""
        self.paper, self.room = paper, room_of(paper)

    def roomy(self) -> bool:
        """Whether plan and elevations fit, uncrowded and not much smaller than elsewhere."""
        offers = scales_of(self.job)
        # At 3/8" = 1'-0" a bay hardly holds its texts: the larger sheet is easier to read.
        least = offers[max(len(offers) - _READABLE, 0)]
        if self._bare(least) > 1.0 or len(self.assembly.legs) > _SMALL_JOB:
            return False
        plan = self._plan()
        if plan is None or plan[0] or plan[2].denominator > least.denominator:
            return False
        crowding, views, scale = self._views(self.assembly.legs, elevation_at)
        if not all(fits(d.view, d.scale, self.room) for d in self._drawn):
            return False
        moved = sum(texts_moved(view) for view in (plan[1], *views))
        return moved <= _MOVED and crowding == (0, 0) and scale.denominator <= least.denominator

    def _made(
        self,
        legs: Sequence[LegLine],
        make: Callable[[Assembly, LegLine, Scale], View],
        scale: Scale,
    ) -> list[View]:
        """The views of legs at a scale, made once."""
        key = (make.__name__, scale.denominator)
        if key not in self.views:
            self.views[key] = [make(self.assembly, leg, scale) for leg in legs]
        return self.views[key]

    def made(self) -> SheetSet:
        series: list[tuple[str, int, list[_Page]]] = [
            ("A", 101, self._plans()),
            ("A", 201, self._elevations()),
            ("A", 301, self._sections()),
            ("A", 501, self._details()),
            ("A", 601, self._schedules()),
            ("S", 1, self._strength()),
        ]
        sheets = [
            (f"{letter}-{first + k:03}", page)
            for letter, first, pages in series
            for k, page in enumerate(pages)
        ]
        shown = referring([(number, page.views) for number, page in sheets])
        sheets = [
            (n, replace(page, views=own)) for (n, page), own in zip(sheets, shown, strict=True)
        ]
        index = [(number, page.title) for number, page in sheets]
        covers = [(f"G-{1 + k:03}", page) for k, page in enumerate(self._covers(index))]
        whole = [*covers, *sheets]
        fields = self._fields()
        return SheetSet(
            tuple(
                self._sheet(number, page, k, len(whole), fields)
                for k, (number, page) in enumerate(whole, start=1)
            ),
            fields,
            self.paper,
        )

    def _fields(self) -> tuple[tuple[str, str], ...]:
        job, asked = self.job, self.job.drawings
        return (
            ("FIRM", asked.firm.upper()),
            ("JOB", job.title.upper()),
            ("OWNER", asked.owner.upper()),
            ("ADDRESS", asked.address.upper()),
            ("PARCEL", asked.parcel.upper()),
            ("RULES", job.rules.edition.upper()),
            ("FINDINGS", findings_count(self.report)),
        )

    def _sheet(
        self, number: str, page: _Page, k: int, count: int, fields: tuple[tuple[str, str], ...]
    ) -> SheetPage:
        job, asked = self.job, self.job.drawings
        rows = self._revisions()
        labels = {view.scale.label for view in page.views}
        label = labels.pop() if len(labels) == 1 else "AS SHOWN" if labels else "NONE"
        pairs = (
            ("SCALE", label),
            ("SHEET", f"{k} OF {count}"),
            ("PAPER", " ".join(self.paper.name.split()[:2])),
            ("UNITS", "MM" if job.metric else "FT AND IN"),
            ("DRAWN BY", asked.drawn_by),
            ("DATE", asked.date),
            ("JOB NUMBER", job.number),
            ("REVISION", rows[-1].mark if rows else ""),
        )
        said = Strip(number, page.title, fields, pairs, rows, asked.seal)
        items, values = strip(said, self.paper, self.on_paper)
        return SheetPage(number, page.title, self.paper, page.views, (*items, *page.items), values)

    def _revisions(self) -> tuple[Revision, ...]:
        asked = self.job.drawings
        if self.changes is None:
            return asked.revisions
        row = self.changes.row(asked.revisions, asked.date, asked.drawn_by)
        return (*asked.revisions, row) if row else asked.revisions

    def _plans(self) -> list[_Page]:
        best = self._plan()
        if best:
            _, view, scale = best
            return [_Page("PLAN", (self._centred(self._marked(view, scale), scale),))]
        scale = scales_of(self.job)[-1]
        view = self._marked(self._plan_at(scale), scale)
        return self._cut(view, scale, "PLAN", 101, 0)

    def _plan_at(self, scale: Scale) -> View:
        return plan_at(self.assembly, scale, refers=True)

    def _plan(self) -> tuple[int, View, Scale] | None:
        """The plan with its crowding at the first scale that is not crowded; None if none fits."""
        best: tuple[int, View, Scale] | None = None
        for scale in scales_of(self.job):
            if self._bare(scale) > 1.0:
                continue
            view = self._plan_at(scale)
            crowding = len(overlaps(view.boxes))
            if fits(view, scale, self.room) and (best is None or crowding < best[0]):
                best = (crowding, view, scale)
            if best and best[0] == 0:
                break
        return best

    def _bare(self, scale: Scale) -> float:
        """The larger of the plan's sides without lettering, over the room for it."""
        ends = [end for leg in self.assembly.legs for end in (leg.edge_start, leg.edge_end)]
        across = max(x for x, _, _ in ends) - min(x for x, _, _ in ends)
        along = max(y for _, y, _ in ends) - min(y for _, y, _ in ends)
        left, low, right, top = self.room
        k = scale.denominator
        return max(across / k / (right - left), along / k / (top - low))

    def _centred(self, view: View, scale: Scale) -> PlacedView:
        width, height = size(view, scale)
        left, low, right, top = self.room
        return placed(view, scale, ((left + right - width) / 2, (low + top + height) / 2))

    def _elevations(self) -> list[_Page]:
        return self._legs(self.assembly.legs, elevation_at, "ELEVATIONS", 201)

    def _sections(self) -> list[_Page]:
        stairs = [leg for leg in self.assembly.legs if leg.kind == "stair"]
        return self._legs(stairs, stair_section, "STAIR SECTIONS", 301) if stairs else []

    def _legs(
        self,
        legs: Sequence[LegLine],
        make: Callable[[Assembly, LegLine, Scale], View],
        title: str,
        first: int,
    ) -> list[_Page]:
        """Sheets of one view a leg."""
        _, views, scale = self._views(legs, make)
        return self._filled([(self._marked(view, scale), scale) for view in views], title, first)

    def _views(
        self, legs: Sequence[LegLine], make: Callable[[Assembly, LegLine, Scale], View]
    ) -> tuple[tuple[int, int], list[View], Scale]:
        """One view a leg at the first scale at which they fit, or the one with least crowding.

        Led by how many do not fit on a sheet and how many texts meet.
        """
        best: tuple[tuple[int, int], list[View], Scale] | None = None
        offers = scales_of(self.job)
        for scale in offers:
            if scale is not offers[-1] and not self._sensible(legs, scale):
                continue
            views = self._made(legs, make, scale)
            broken = sum(not fits(view, scale, self.room) for view in views)
            crowding = sum(len(overlaps(view.boxes)) for view in views)
            if best is None or (broken, crowding) < best[0]:
                best = ((broken, crowding), views, scale)
            if best[0] == (0, 0):
                break
        assert best is not None
        return best

    def _sensible(self, legs: Sequence[LegLine], scale: Scale) -> bool:
        """Whether every leg may fit on a sheet, and several of many do."""
        left, low, right, top = self.room
        k, high = scale.denominator, self.job.guard.height_mm
        widths = [edge_length(leg) / k + _LETTERS for leg in legs]
        falls = [abs(leg.edge_end[2] - leg.edge_start[2]) for leg in legs]
        heights = [(high + fall) / k + _LETTERS for fall in falls]
        area = sum(w * h for w, h in zip(widths, heights, strict=True))
        sheets = area / ((right - left) * (top - low))
        return max(widths) <= right - left + _LETTERS / 2 and sheets <= max(
            1.0, math.ceil(len(legs) / _A_SHEET)
        )

    def _details(self) -> list[_Page]:
        views = [(detail.view, detail.scale) for detail in self._drawn]
        return self._filled(views, "DETAILS", 501) if views else []

    def _filled(self, views: Sequence[tuple[View, Scale]], title: str, first: int) -> list[_Page]:
        """Sheets of views, those larger than a sheet cut at match lines on sheets of their own."""
        pages: list[_Page] = []
        waiting: list[tuple[View, Scale]] = []

        def flush() -> None:
            if waiting:
                sheets = packed(waiting, self.room, loose=title == "DETAILS")
                pages.extend(_Page(title, tuple(sheet)) for sheet in sheets)
                waiting.clear()

        for view, scale in views:
            if fits(view, scale, self.room):
                waiting.append((view, scale))
                continue
            flush()
            pages += self._cut(view, scale, title, first, len(pages))
        flush()
        return pages

    def _cut(self, view: View, scale: Scale, title: str, first: int, before: int) -> list[_Page]:
        pieces = parts(view, scale, self.room)
        sheets = stacked(pieces, scale, self.room)
        numbers = {
            (part.column, part.row): f"A-{first + before + k}"
            for k, sheet in enumerate(sheets)
            for part, _ in sheet
        }
        names = {id(part): f"PART {k} OF {len(pieces)}" for k, part in enumerate(pieces, start=1)}
        pages = []
        for sheet in sheets:
            shown: list[PlacedView] = []
            items: list[Item] = []
            for part, top in sheet:
                words = f"{view.title}, {names[id(part)]}"
                corner = (self.room[0] + EDGE, top)
                one, under = part_on_sheet(view, scale, part, corner, words)
                shown.append(one)
                items += match_lines(part, numbers, one.frame, self.small)
                items += part_title((one.frame[0], under), words, scale)
            pages.append(_Page(title, tuple(shown), tuple(items)))
        return pages

    def _schedules(self) -> list[_Page]:
        tables = schedule_tables(self.assembly, self.report)
        sheets = flowed(tables, self.room, self.on_paper)
        return [_Page("SCHEDULES", (), tuple(items)) for items in sheets]

    def _strength(self) -> list[_Page]:
        """What the calculation sheets sum up, where the strength is worked out here."""
        if not self.strength or self.job.strength.elsewhere:
            return []
        from generator.drawings.strength_tables import TITLE, strength_tables

        sheets = flowed(strength_tables(self.assembly), self.room, self.on_paper)
        return [_Page(TITLE, (), tuple(items)) for items in sheets]

    def _covers(self, index: Sequence[tuple[str, str]]) -> list[_Page]:
        """Tables at the left; at the right the site-plan slot over the pictorial view."""
        left, low, right, top = self.room
        wide = max((right - left) * 0.42, 115.0)
        text: Frame = (left, low, right - wide - GAP, top)
        merged: dict[str, list[str]] = {}
        for number, title in index:
            merged.setdefault(title, []).append(number)
        rows = [("G-001", "COVER")]
        for title, numbers in merged.items():
            rows.append((_spread(numbers), title))
        tables = cover_tables(self.assembly, self.report, rows)
        first, *more = flowed(tables, text, self.on_paper, self.room)
        drawn = slots((right - wide, low, right, top), pictorial(self.assembly), self.on_paper)
        pages = [_Page("COVER", drawn.views, (*first, *drawn.items))]
        if more:
            # What is left has the whole width of further sheets.
            pages = [pages[0], *(_Page("COVER, CONTINUED", (), tuple(items)) for items in more)]
        return pages

    def _marked(self, view: View, scale: Scale) -> View:
        if self.changes is None:
            return view
        mark = self._revisions()[-1].mark if self._revisions() else ""
        return clouded(view, scale, self.assembly, self.changes, mark)


def _spread(numbers: Sequence[str]) -> str:
    return numbers[0] if len(numbers) == 1 else f"{numbers[0]} TO {numbers[-1]}"
