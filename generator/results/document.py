"""Assembly and report into the results document, and the document into its text."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from generator import __version__
from generator.catalog.rules import amended_limits
from generator.parts.assembly import (
    Assembly,
    CableDetail,
    DrilledHole,
    LegLine,
    Part,
    PostDetail,
    RailDetail,
    TreadDetail,
    detail_of,
)
from generator.parts.legs import bays, edge_length, rows
from generator.parts.mass import item_masses
from generator.parts.measure import cut_angles, rail_lengths
from generator.parts.quantities import quantities
from generator.parts.report import Report
from generator.parts.shapes import Face, Hole, Prism
from generator.results.models import (
    AmendedLimit,
    AmendedSeverity,
    CableResult,
    ChangeResult,
    CheckResult,
    FindingResult,
    HoleResult,
    JobHead,
    LegResult,
    PostResult,
    QuantityResult,
    RailResult,
    Results,
    SawSetting,
    Side,
    StockResult,
    SuggestionsResult,
    TreadResult,
    WallHole,
)
from generator.spec.job import Job

if TYPE_CHECKING:
    from generator.results.suggest import Suggestion

# A post's frame has x along its bearing and y to the left of it.
_FACES: dict[Face, Side] = {"x-": "back", "x+": "front", "y-": "right", "y+": "left"}


def results(
    assembly: Assembly,
    report: Report,
    *,
    selected: Sequence[str] = (),
    suggestion: Suggestion | None = None,
) -> Results:
    """The results document of a job that was laid out and checked.

    `selected` are the codes where the report holds those alone.
    """
    return Results(
        version=__version__,
        job=_head(assembly.job),
        status=report.status,
        legs=[_leg(assembly, leg) for leg in assembly.legs],
        posts=[_post(part) for part in assembly.of_kind("post", "column")],
        rails=[_rail(part) for part in assembly.of_kind("rail")],
        cables=[_cable(part) for part in assembly.of_kind("cable")],
        findings=[FindingResult.model_validate(finding) for finding in report.findings],
        checks=[CheckResult.model_validate(measure) for measure in report.measures],
        quantities=list(_quantities(assembly)),
        stock=_stock(assembly),
        selected=list(selected),
        suggestions=_suggestion(suggestion),
    )


def _stock(assembly: Assembly) -> list[StockResult]:
    if assembly.job.stock is None:
        return []
    from generator.parts.bars import stock_plans

    return [StockResult.model_validate(plan) for plan in stock_plans(assembly)]


def _quantities(assembly: Assembly) -> Iterator[QuantityResult]:
    masses = item_masses(assembly)
    for line in quantities(assembly):
        yield QuantityResult(
            item=line.item,
            description=line.description,
            count=line.count,
            length_mm=line.length_mm,
            spare=line.spare,
            spare_length_mm=line.spare_length_mm,
            mass_kg=masses.get(line.item),
        )


def _suggestion(found: Suggestion | None) -> SuggestionsResult | None:
    if found is None:
        return None
    return SuggestionsResult(
        failures=found.failures,
        cleared=found.cleared,
        changes=[ChangeResult.model_validate(change) for change in found.changes],
        left=[finding.code for finding in found.left],
        new_warnings=[finding.code for finding in found.warned],
        tried=found.tried,
    )


def _head(job: Job) -> JobHead:
    return JobHead(
        title=job.title,
        number=job.number,
        rules=job.rules.name,
        units=job.units,
        amendments=[
            AmendedLimit(
                limit=limit.key,
                value=limit.text,
                instead_of=limit.replaces.text if limit.replaces else "",
                reason=limit.reason,
                clause=limit.clause,
                verified=limit.verified,
            )
            for limit in amended_limits(job.rules)
        ],
        severities=[
            AmendedSeverity.model_validate(change)
            for change in (*job.rules.severities, *job.severities)
        ],
    )


def _leg(assembly: Assembly, leg: LegLine) -> LegResult:
    between = bays(assembly, leg)
    return LegResult(
        run=leg.run,
        leg=leg.number,
        label=leg.label,
        kind=leg.kind,
        length_mm=edge_length(leg),
        guard_length_mm=sum(between),
        pitch_deg=leg.pitch_deg,
        bays_mm=list(between),
        rows=rows(assembly, leg),
        treads=[_tread(assembly.by_mark[mark]) for mark in _treads(assembly, leg)],
    )


def _treads(assembly: Assembly, leg: LegLine) -> list[str]:
    """Marks of a stair's treads, from the top down."""
    marks = [mark for mark in leg.surfaces if assembly.by_mark[mark].kind == "tread"]
    return sorted(marks, key=lambda mark: detail_of(assembly.by_mark[mark], TreadDetail).number)


def _tread(part: Part) -> TreadResult:
    detail = detail_of(part, TreadDetail)
    if not isinstance(part.shape, Prism):
        raise TypeError(f"{part.mark} is no slab")
    return TreadResult(
        tread=detail.number,
        z_mm=part.place.origin[2] + part.shape.end.z_mm,
        deviation_mm=detail.deviation_mm,
    )


def _post(part: Part) -> PostResult:
    detail = detail_of(part, PostDetail)
    x, y, _ = part.place.origin
    return PostResult(
        mark=part.mark,
        run=part.run,
        leg=part.leg,
        role=detail.role,
        place=detail.place,
        x_mm=x,
        y_mm=y,
        z_mm=detail.base_z_mm,
        height_mm=detail.height_mm,
        length_mm=detail.length_mm,
        bearing_deg=detail.bearing_deg,
        tread=detail.tread,
        setback_mm=detail.setback_mm,
        mount=detail.mount,
        holes=[_hole(part, detail, hole) for hole in detail.drilling],
    )


def _hole(part: Part, detail: PostDetail, hole: DrilledHole) -> HoleResult:
    if not isinstance(part.shape, Prism):
        raise TypeError(f"{part.mark} is no straight tube")
    lift = part.place.origin[2] - detail.base_z_mm
    walls = [part.shape.holes[index] for index in hole.walls]
    return HoleResult(
        row=hole.row,
        leg=hole.leg,
        purpose=hole.purpose,
        axis_z_mm=hole.axis_z_mm,
        shape=hole.shape,
        width_mm=hole.width_mm,
        height_mm=hole.height_mm,
        nominal_height_mm=hole.nominal_height_mm,
        walls=[wall for w in walls for wall in _faces(w, lift, through=hole.purpose == "cable")],
    )


def _faces(hole: Hole, lift: float, *, through: bool) -> list[WallHole]:
    """Where a hole shows: one wall, or both faces of solid wood that a cable goes through."""
    shown = [WallHole(face=_FACES[hole.face], z_mm=hole.along_mm + lift, offset_mm=hole.across_mm)]
    if through and any(hole.lean):
        across, steep = (lean * hole.depth_mm for lean in hole.lean)
        far: Face = "x+" if hole.face == "x-" else "y+"
        z, offset = hole.along_mm + lift + steep, hole.across_mm + across
        shown.append(WallHole(face=_FACES[far], z_mm=z, offset_mm=offset))
    return shown


def _rail(part: Part) -> RailResult:
    long_point, short_point, centre = rail_lengths(part)
    return RailResult(
        mark=part.mark,
        run=part.run,
        leg=part.leg,
        section=detail_of(part, RailDetail).section,
        long_point_mm=long_point,
        short_point_mm=short_point,
        centre_mm=centre,
        start=_saw(cut_angles(part, "start")),
        end=_saw(cut_angles(part, "end")),
    )


def _saw(angles: tuple[float, float]) -> SawSetting:
    return SawSetting(miter_deg=angles[0], bevel_deg=angles[1])


def _cable(part: Part) -> CableResult:
    detail = detail_of(part, CableDetail)
    return CableResult(
        mark=part.mark,
        run=part.run,
        row=detail.row,
        legs=list(detail.legs),
        posts=list(detail.posts),
        support_length_mm=detail.support_length_mm,
        finished_mm=detail.finished_mm,
        cut_length_mm=detail.cut_length_mm,
        turn_deg=detail.turn_deg,
        fittings=list(detail.fittings),
        ends=list(detail.ends),
        swage=list(detail.swage),
    )


def to_json(document: Results) -> str:
    """The document as JSON text, one entry a line so that two of them compare line by line."""
    return _lines(document.model_dump(), "") + "\n"


def _lines(value: object, indent: str) -> str:
    """JSON text of a value: what holds rows of entries is opened, the rest stays on a line."""
    if not _holds_rows(value) or len(indent) >= 4 * len(_STEP):
        return json.dumps(value, ensure_ascii=False, allow_nan=False)
    inner = indent + _STEP
    if isinstance(value, Mapping):
        pairs: Iterable[str] = (
            f"{inner}{json.dumps(key)}: {_lines(entry, inner)}" for key, entry in value.items()
        )
        return "{\n" + ",\n".join(pairs) + f"\n{indent}}}"
    assert isinstance(value, Sequence)
    return "[\n" + ",\n".join(inner + _lines(entry, inner) for entry in value) + f"\n{indent}]"


_STEP = "  "


def _holds_rows(value: object) -> bool:
    """Whether a list of entries stands in here, or this is one."""
    if isinstance(value, Mapping):
        return any(isinstance(entry, list) and _holds_rows(entry) for entry in value.values())
    return isinstance(value, list) and any(isinstance(entry, Mapping) for entry in value)
