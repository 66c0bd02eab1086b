"""The spec's `drawings` as Pydantic models: sheet size, scale, title block and revisions."""

from __future__ import annotations

from typing import Literal

from generator.spec.fields import Clause, Number, Switch, Title
from generator.spec.job import Drawings, Revision, ScaleName, SheetName
from generator.spec.part import Part, absent, given, need

MAX_REVISIONS = 30


class RevisionSpec(Part):
    """A row of the revision table."""

    mark: Number = need("the revision's letter or number, such as A")
    date: Number = need("its date, as it is to be printed")
    text: Title = need("what was changed")
    by: Number = given("", "initials of who changed it")


class DrawingsSpec(Part):
    """How the permit set is drawn and what its title block says."""

    sheet: Literal["fit", "arch-b", "arch-d", "ansi-b", "a3", "a1"] = given(
        "fit",
        "sheet size; fit: arch-b or arch-d, in a metric job a3 or a1, the smaller if views fit",
    )
    scale: Literal[
        "fit", "1 in", "3/4 in", "1/2 in", "3/8 in", "1/4 in", "1:10", "1:20", "1:25", "1:50"
    ] = given(
        "fit",
        "scale of plans and elevations: inches to the foot, or a ratio; fit: the largest that fits",
    )
    units: Literal["job", "in", "mm"] = given(
        "job", "lengths as in the job, or in feet and inches, or in millimetres"
    )
    firm: Clause = given("", "who draws, as it is to stand in the title block")
    drawn_by: Number = given("", "initials of who drew it")
    date: Number = given("", "date of the set, as it is to be printed")
    owner: Clause = given("", "owner of the property")
    address: Clause = given("", "address of the site")
    parcel: Number = given("", "parcel number")
    seal: Switch = given(True, "room for a seal beside the title block; it is never filled")
    since: Clause = given(
        "", "results.json of the former build, seen from this file: what changed gets a cloud"
    )
    revisions: list[RevisionSpec] = absent("rows of the revision table", longest=MAX_REVISIONS)


DRAWING_MAPPINGS: dict[tuple[str, ...], type[Part]] = {
    ("drawings",): DrawingsSpec,
    ("drawings", "revisions"): RevisionSpec,
}


def frozen_drawings(spec: DrawingsSpec | None) -> Drawings:
    """The settings of the sheet set; the defaults where the spec says nothing."""
    if spec is None:
        return Drawings()
    sheet: SheetName | None = None if spec.sheet == "fit" else spec.sheet
    scale: ScaleName | None = None if spec.scale == "fit" else spec.scale
    rows = tuple(Revision(r.mark, r.date, r.text, r.by) for r in spec.revisions or ())
    return Drawings(
        sheet=sheet,
        scale=scale,
        units=spec.units,
        firm=spec.firm,
        drawn_by=spec.drawn_by,
        date=spec.date,
        owner=spec.owner,
        address=spec.address,
        parcel=spec.parcel,
        seal=spec.seal,
        since=spec.since,
        revisions=rows,
    )
