"""The schedules of a job as they stand on the sheets: posts, rails, cables, anchors, findings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from generator.drawings.tables import PaperTable, capitals
from generator.parts.assembly import (
    Assembly,
    CableDetail,
    Part,
    PostDetail,
    RailDetail,
    detail_of,
)
from generator.parts.measure import cut_angles, rail_lengths
from generator.parts.report import Finding, Report
from generator.units import format_length

_PLACES = {"deck": "on base plate", "fascia": "side-mounted", "core": "cast in", "existing": ""}


def schedule_tables(assembly: Assembly, report: Report) -> list[PaperTable]:
    """Every schedule that the job has rows for, in the order in which they are read."""
    return [
        _posts(assembly),
        _rails(assembly),
        _cables(assembly),
        _anchors(assembly),
        _findings(assembly, report),
    ]


def amount(value: float | None, unit: str, metric: bool) -> str:
    """A measured value or a limit as it is printed."""
    if value is None:
        return ""
    if unit == "mm":
        return format_length(value, metric) + (" mm" if metric else "")
    if unit == "N" and not metric:
        return f"{value / 4.4482216152605:.0f} lbf"
    if unit == "ratio":
        return f"{value:.3f}".rstrip("0").rstrip(".")
    return f"{value:.4g} {unit}".removesuffix(" count").removesuffix(" number").strip()


def _table(title: str, heads: Sequence[str], rows: Sequence[Sequence[str]]) -> PaperTable:
    return PaperTable(title, tuple(heads), tuple(capitals(rows)))


def _posts(assembly: Assembly) -> PaperTable:
    metric = assembly.job.metric
    heads = ("MARK", "RUN, LEG", "ROLE", "FIXED", "BASE AT", "HEIGHT", "TUBE", "SETBACK", "HOLES")
    rows = []
    for part in assembly.of_kind("post", "column"):
        post = detail_of(part, PostDetail)
        where = _PLACES[post.mount] or "stands there"
        if post.tread is not None:
            where += f", tread {post.tread}"
        rows.append(
            (
                part.mark,
                f"{part.run}, {part.leg}",
                post.role,
                where,
                format_length(post.base_z_mm, metric),
                format_length(post.height_mm, metric),
                format_length(post.length_mm, metric),
                "" if post.setback_mm is None else format_length(post.setback_mm, metric),
                str(sum(len(hole.walls) for hole in post.drilling)),
            )
        )
    return _table("POSTS", heads, rows)


def _rails(assembly: Assembly) -> PaperTable:
    metric = assembly.job.metric
    heads = (
        "MARK",
        "RUN, LEG",
        "SECTION",
        "LONG POINT",
        "SHORT POINT",
        "START CUT",
        "END CUT",
        "STARTS AT",
        "ENDS AT",
    )
    rows = []
    for part in assembly.of_kind("rail", "handrail"):
        rail = part.detail if isinstance(part.detail, RailDetail) else None
        long, short, _ = rail_lengths(part)
        rows.append(
            (
                part.mark,
                f"{part.run}, {part.leg}",
                rail.section if rail else part.item,
                format_length(long, metric),
                format_length(short, metric),
                _cut(part, start=True),
                _cut(part, start=False),
                rail.start_on if rail else "",
                rail.end_on if rail else "",
            )
        )
    return _table("RAIL PIECES", heads, rows)


def _cut(part: Part, *, start: bool) -> str:
    miter, bevel = (abs(angle) for angle in cut_angles(part, "start" if start else "end"))
    words = []
    if miter >= 0.05:
        words.append(f"miter {miter:.1f}\u00b0")
    if bevel >= 0.05:
        words.append(f"bevel {bevel:.1f}\u00b0")
    return ", ".join(words) or "square"


def _cables(assembly: Assembly) -> PaperTable:
    metric = assembly.job.metric
    heads = ("MARK", "RUN", "LEGS", "ROW", "FROM", "TO", "ENDS", "ROUTE", "ORDER LENGTH")
    rows = []
    for part in assembly.of_kind("cable"):
        cable = detail_of(part, CableDetail)
        rows.append(
            (
                part.mark,
                part.run,
                " ".join(str(leg) for leg in cable.legs),
                str(cable.row),
                cable.posts[0],
                cable.posts[-1],
                f"{cable.ends[0]} / {cable.ends[1]}",
                format_length(cable.support_length_mm, metric),
                format_length(cable.cut_length_mm, metric),
            )
        )
    return _table("CABLES", heads, rows)


def _anchors(assembly: Assembly) -> PaperTable:
    """Anchors of equal kind and number a post together, with the posts that they hold."""
    counts: dict[tuple[str, str], int] = {}
    for part in assembly.of_kind("anchor"):
        key = (part.belongs_to, part.item)
        counts[key] = counts.get(key, 0) + 1
    groups: dict[tuple[str, int], list[str]] = {}
    for (post, item), count in counts.items():
        groups.setdefault((item, count), []).append(post)
    rows = [
        (item, str(count), str(count * len(posts)), ", ".join(posts))
        for (item, count), posts in groups.items()
    ]
    return _table("ANCHORS", ("ANCHOR", "A POST", "IN ALL", "POSTS"), rows)


def _findings(assembly: Assembly, report: Report) -> PaperTable:
    heads = ("FINDING", "SEVERITY", "AT", "MEASURED", "LIMIT", "CLAUSE", "STANDS")
    return _table("FINDINGS", heads, list(_finding_rows(assembly, report)))


def _finding_rows(assembly: Assembly, report: Report) -> Iterator[tuple[str, ...]]:
    metric = assembly.job.metric
    for finding in report.findings:
        yield (
            finding.code,
            finding.severity,
            ", ".join(finding.where),
            amount(finding.measured, finding.unit, metric),
            amount(finding.limit, finding.unit, metric),
            _source(finding),
            _standing(finding),
        )
    if not report.findings:
        yield ("none", "", "", "", "", "", "")


def _source(finding: Finding) -> str:
    return ", ".join(text for text in (finding.clause, finding.edition) if text)


def _standing(finding: Finding) -> str:
    if finding.accepted:
        return f"accepted by {finding.accepted.role}: {finding.accepted.reason}"
    return f"note: follows from {finding.cause}" if finding.cause else "open"
