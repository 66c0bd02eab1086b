"""Every limit of every shipped rule set, against the text that it was taken from.

Beside each table stands where its values were read, and beside each row how: `R` read in the
published text or on an official host, `R2` read in a second-hand copy, `M` from memory, `E` read in
another edition only, `O` said to be read once and not confirmed. Only R and R2 are verified, and
the rule set's source must say which of the others it is. Values and tags were typed here by hand,
apart from the data.
"""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from generator.catalog import Catalog
from generator.catalog.limits import LIMITS
from generator.catalog.rules import completed, missing
from generator.catalog.tables import Limit, RuleSet

INCH = 25.4  # exact
LBF = 4.4482216152605  # exact by the pound and standard gravity
KN = 1000.0
PLF = LBF / (12 * INCH)  # N/mm
R, R2, M, E, ONCE = "R", "R2", "M", "E", "O"
SAYS = {
    M: "from memory, not read: ",
    E: "of another edition, not read in this one: ",
    ONCE: "one reading, not confirmed: ",
}
"""How the source of a limit begins that was not read, by its tag."""
NONE = "none"
INCLUSIVE = "guard.required.inclusive"

# International Residential Code. Guards: R312.1 of the 2018 edition as Jefferson County (Colorado)
# prints it, R321.1 of a second-hand copy of the 2024 edition. Handrails and most of stairs: that
# copy (R318.7, R320); riser, tread and widths also in 2018 at Jefferson County. Loads: Table
# R301.5 in WAC 51-51-0301. The clauses of handrails before 2024 are from memory, their order read.
# key, value, clause of 2018 and 2021, clause of 2024
IRC = [
    ("guard.required.fall", 30 * INCH, "R312.1.1", "R321.1.1"),
    ("guard.required.distance", 36 * INCH, "R312.1.1", "R321.1.1"),
    ("guard.height.level", 36 * INCH, "R312.1.2", "R321.1.2"),
    ("guard.height.stair", 34 * INCH, "R312.1.2 exception 1", "R321.1.2 exception 1"),
    ("opening.level", 4 * INCH, "R312.1.3", "R321.1.3"),
    ("opening.bottom", 4 * INCH, "R312.1.3", "R321.1.3"),
    ("opening.end", 4 * INCH, "R312.1.3", "R321.1.3"),
    ("opening.triangle", 6 * INCH, "R312.1.3 exception 1", "R321.1.3 exception 1"),
    ("opening.stair", 4.375 * INCH, "R312.1.3 exception 2", "R321.1.3 exception 2"),
    ("opening.riser", 4 * INCH, "R311.7.5.1", "R318.7.5.1"),
    ("opening.riser.fall", 30 * INCH, "R311.7.5.1", "R318.7.5.1"),
    ("climb.horizontal", 0, "no clause", "no clause"),  # M
    ("handrail.risers", 4, "R311.7.8", "R318.7.8"),
    ("handrail.sides", 1, "R311.7.8", "R318.7.8"),
    ("handrail.height.min", 34 * INCH, "R311.7.8.1", "R320.2"),
    ("handrail.height.max", 38 * INCH, "R311.7.8.1", "R320.2"),
    ("handrail.projection.max", 4.5 * INCH, "R311.7.8.2", "R320.3"),
    ("handrail.clearance.min", 1.5 * INCH, "R311.7.8.3", "R320.4"),
    ("handrail.short.max", 0, "R311.7.8.4", "R320.5"),
    ("handrail.return-gap", 0.25 * INCH, "R320.5", "R320.5"),
    ("handrail.diameter.min", 1.25 * INCH, "R311.7.8.5", "R320.6"),
    ("handrail.diameter.max", 2 * INCH, "R311.7.8.5", "R320.6"),
    ("handrail.perimeter.min", 4 * INCH, "R311.7.8.5", "R320.6"),
    ("handrail.perimeter.max", 6.25 * INCH, "R311.7.8.5", "R320.6"),
    ("handrail.section.max", 2.25 * INCH, "R311.7.8.5", "R320.6"),
    ("handrail.edge.min", 0.01 * INCH, "R311.7.8.5", "R320.6"),
    ("handrail.recess.begin.max", 0.75 * INCH, "R311.7.8.5", "R320.6"),
    ("handrail.recess.depth", 0.3125 * INCH, "R311.7.8.5", "R320.6"),
    ("handrail.recess.within.max", 0.875 * INCH, "R311.7.8.5", "R320.6"),
    ("handrail.recess.run", 0.375 * INCH, "R311.7.8.5", "R320.6"),
    ("handrail.recess.level", 1.75 * INCH, "R311.7.8.5", "R320.6"),
    ("handrail.recess.width.min", 1.25 * INCH, "R311.7.8.5", "R320.6"),
    ("handrail.recess.width.max", 2.75 * INCH, "R311.7.8.5", "R320.6"),
    ("handrail.ramp.slope", 0.083334, "R311.8.3", "R318.8.3"),  # one in twelve; M
    ("stair.riser.max", 7.75 * INCH, "R311.7.5.1", "R318.7.5.1"),
    ("stair.tread.min", 10 * INCH, "R311.7.5.2", "R318.7.5.2"),
    ("stair.variation", 0.375 * INCH, "R311.7.5.1, R311.7.5.2", "R318.7.5.1, R318.7.5.2"),
    ("stair.nosing.min", 0.75 * INCH, "R311.7.5.3", "R318.7.5.3"),
    ("stair.nosing.max", 1.25 * INCH, "R311.7.5.3", "R318.7.5.3"),
    ("stair.nosing.tread.max", 11 * INCH, "R311.7.5.3", "R318.7.5.3"),
    ("stair.width.min", 36 * INCH, "R311.7.1", "R318.7.1"),
    ("stair.width.clear.one", 31.5 * INCH, "R311.7.1", "R318.7.1"),
    ("stair.width.clear.two", 27 * INCH, "R311.7.1", "R318.7.1"),
    ("stair.flight.rise.max", 151 * INCH, "R311.7.3", "R318.7.3"),  # 12 ft 7 in; M in 2018
    ("load.top", 200 * LBF, "Table R301.5 note d", "Table R301.5 note d"),
    ("load.line", NONE, "Table R301.5", "Table R301.5"),
    ("load.infill", 50 * LBF, "Table R301.5 note f", "Table R301.5 note f"),
    ("load.infill.area", (12 * INCH) ** 2, "Table R301.5 note f", "Table R301.5 note f"),
]
# The guards of R312.1 are numbered alike in 2018 and 2021; of stairs only these were read in 2018,
# of handrails nothing. Table R301.5 was read in one adoption, of an edition before 2024.
IRC_STAIR_2018 = {"stair.riser.max", "stair.tread.min", "stair.width.min"}
IRC_STAIR_2018 |= {"stair.width.clear.one", "stair.width.clear.two"}


def irc_tag(name: str, key: str) -> str:
    """How a limit of one edition of the IRC was read."""
    group = key.split(".")[0]
    if key in ("climb.horizontal", "handrail.ramp.slope"):
        return M
    if (name, key) == ("irc-2018", "stair.flight.rise.max"):
        return M
    if name == "irc-2024":
        return E if group == "load" else R2
    if group in ("handrail", "stair") or key.startswith("opening.riser"):
        return R if name == "irc-2018" and key in IRC_STAIR_2018 else E
    return R


# International Building Code. Guards, risers, treads, heights and sides of handrails: the New York
# City Building Code, based on the IBC, in a public copy (1015.2 to 1015.4, 1011.5.2, 1011.11,
# 1014.2, 1014.8). Return gap: R320.5 of the IRC 2024. Loads of 2018: a page of a scanned volume;
# the line load of 2018 and 2021: those codes of Illinois on a public site.
# key, value, clause, read or from memory
IBC = [
    ("guard.required.fall", 30 * INCH, "1015.2", M),
    ("guard.required.distance", 36 * INCH, "1015.2", M),
    ("guard.height.level", 42 * INCH, "1015.3", R2),
    ("guard.height.stair", 42 * INCH, "1015.3", R2),
    ("opening.level", 4 * INCH, "1015.4", R2),
    ("opening.bottom", 4 * INCH, "1015.4", R2),
    ("opening.stair", 4 * INCH, "1015.4", R2),
    ("opening.end", 4 * INCH, "1015.4", R2),
    ("opening.band.from", 36 * INCH, "1015.4 exception 1", R2),
    ("opening.band.value", 4.375 * INCH, "1015.4 exception 1", R2),
    ("opening.triangle", 6 * INCH, "1015.4 exception 2", R2),
    ("opening.riser", 4 * INCH, "1011.5.5.3", M),
    ("climb.horizontal", 0, "no clause", M),
    ("handrail.risers", 1, "1011.11", R2),
    ("handrail.sides", 2, "1011.11", R2),
    ("handrail.height.min", 34 * INCH, "1014.2", R2),
    ("handrail.height.max", 38 * INCH, "1014.2", R2),
    ("handrail.clearance.min", 1.5 * INCH, "1014.7", M),
    ("handrail.projection.max", 4.5 * INCH, "1014.8", ONCE),
    ("handrail.short.max", 0, "1014.4", M),
    ("handrail.return-gap", 0.25 * INCH, "R320.5", E),
    ("handrail.extension.top", 12 * INCH, "1014.6", M),
    ("handrail.extension.bottom", 11 * INCH, "1014.6", M),  # one tread, and 11 in is the least
    ("handrail.diameter.min", 1.25 * INCH, "1014.3.1", M),
    ("handrail.diameter.max", 2 * INCH, "1014.3.1", M),
    ("handrail.perimeter.min", 4 * INCH, "1014.3.1", M),
    ("handrail.perimeter.max", 6.25 * INCH, "1014.3.1", M),
    ("handrail.section.max", 2.25 * INCH, "1014.3.1", M),
    ("handrail.edge.min", 0.01 * INCH, "1014.3.1", M),
    ("handrail.recess.begin.max", 0.75 * INCH, "1014.3.2", M),
    ("handrail.recess.depth", 0.3125 * INCH, "1014.3.2", M),
    ("handrail.recess.within.max", 0.875 * INCH, "1014.3.2", M),
    ("handrail.recess.run", 0.375 * INCH, "1014.3.2", M),
    ("handrail.recess.level", 1.75 * INCH, "1014.3.2", M),
    ("handrail.recess.width.min", 1.25 * INCH, "1014.3.2", M),
    ("handrail.recess.width.max", 2.75 * INCH, "1014.3.2", M),
    ("handrail.ramp.rise", 6 * INCH, "1012.8", M),
    ("stair.riser.min", 4 * INCH, "1011.5.2", R2),
    ("stair.riser.max", 7 * INCH, "1011.5.2", R2),
    ("stair.tread.min", 11 * INCH, "1011.5.2", R2),
    ("stair.variation", 0.375 * INCH, "1011.5.4", M),
    ("stair.nosing.max", 1.25 * INCH, "1011.5.5", M),
    ("stair.width.min", 44 * INCH, "1011.2", M),
    ("stair.flight.rise.max", 12 * 12 * INCH, "1011.8", M),
]
IBC_LOADS = {
    "ibc-2018": [
        ("load.top", 200 * LBF, "1607.8.1.1", ONCE),
        ("load.line", 50 * PLF, "1607.8.1", ONCE),
        ("load.infill", 50 * LBF, "1607.8.1.2", R),
        ("load.infill.area", (12 * INCH) ** 2, "1607.8.1.2", M),
    ],
    "ibc-2021": [
        ("load.top", 200 * LBF, "1607.9.1.1", M),
        ("load.line", 50 * PLF, "1607.9.1", ONCE),
        ("load.infill", 50 * LBF, "1607.9.1.2", M),
        ("load.infill.area", (12 * INCH) ** 2, "1607.9.1.2", M),
    ],
    "ibc-2024": [
        ("load.top", 200 * LBF, "1607.9.1.1", M),
        ("load.line", 50 * PLF, "1607.9.1", M),
        ("load.infill", 50 * LBF, "1607.9.1.2", M),
        ("load.infill.area", (12 * INCH) ** 2, "1607.9.1.2", M),
    ],
}
# Exceptions for R-3 and inside the units of R-2: the New York City code again.
IBC_DWELLING = [
    ("guard.height.level", 36 * INCH, "1015.3 exception", R2),
    ("guard.height.stair", 34 * INCH, "1015.3 exception", R2),
    ("opening.stair", 4.375 * INCH, "1015.4 exception", M),
    ("handrail.risers", 4, "1011.11 exception", M),
    ("handrail.sides", 1, "1011.11 exception", R2),
    ("handrail.extension.top", NONE, "1014.6 exception", M),
    ("handrail.extension.bottom", NONE, "1014.6 exception", M),
    ("stair.riser.max", 7.75 * INCH, "1011.5.2 exception", R2),
    ("stair.tread.min", 10 * INCH, "1011.5.2 exception", R2),
    ("stair.width.min", 36 * INCH, "1011.2 exception", M),
]

# The height for dwellings stood in the CRC of 2010 and 2020; that it does in 2022 is from memory.
CALIFORNIA = [("guard.height.level", 42 * INCH, "R312.1.2", M)]

# National Building Code, 2023 Alberta Edition, Division B, in a public copy of its text. The copy
# leaves out the measure of 9.8.8.3.(1).
NBC = [
    ("guard.required.fall", 600, "9.8.8.1.(1)", R2),
    ("guard.required.distance", 1200, "9.8.8.1.(1)", R2),
    ("guard.height.level", 1070, "9.8.8.3.(1)", M),
    ("guard.height.stair", 1070, "9.8.8.3.(1), 9.8.8.3.(4)", M),
    ("opening.level", 100, "9.8.8.5.(1)", R2),
    ("guard.height.fall.max", NONE, "9.8.8.3.(1)", R2),
    ("guard.voluntary.sphere", 200, "9.8.8.5.", R2),
    ("opening.bottom", 100, "9.8.8.5.(1)", R2),
    ("opening.stair", 100, "9.8.8.5.(1)", R2),
    ("opening.end", 100, "9.8.8.5.(1)", R2),
    ("opening.triangle", 150, "9.8.8.5.(2)", R2),
    ("opening.spread.force", 0.1 * KN, "9.8.8.2.(2)", R2),
    ("climb.horizontal", 2, "9.8.8.6.(1)", R2),
    ("climb.fall", 4200, "9.8.8.6.(1)", R2),
    ("climb.zone.low", 140, "9.8.8.6.(1)", R2),
    ("climb.zone.high", 900, "9.8.8.6.(1)", R2),
    ("handrail.risers", 4, "9.8.7.1.(3)", ONCE),
    ("handrail.sides", 1, "9.8.7.1.(4)", ONCE),
    ("handrail.ramp.rise", 400, "9.8.7.1.(3)", M),
    ("handrail.height.min", 865, "9.8.7.4.(2)", ONCE),
    ("handrail.height.max", 1070, "9.8.7.4.(2)", ONCE),
    ("handrail.clearance.min", 50, "9.8.7.5.(1)", ONCE),
    ("handrail.projection.max", 100, "9.8.7.6.(1)", ONCE),
    ("handrail.short.max", 0, "9.8.7.2.(1)", ONCE),
    ("handrail.return-gap", NONE, "9.8.7.3.(1)", ONCE),
    ("handrail.extension.top", NONE, "9.8.7.3.(2)", ONCE),
    ("handrail.extension.bottom", NONE, "9.8.7.3.(2)", ONCE),
    ("stair.riser.min", 125, "Table 9.8.4.1.", ONCE),
    ("stair.riser.max", 200, "Table 9.8.4.1.", ONCE),
    ("stair.tread.min", 255, "Table 9.8.4.2.", ONCE),
    ("stair.tread.max", 355, "Table 9.8.4.2.", ONCE),
    ("stair.variation", 10, "9.8.4.4.(1), 9.8.4.4.(3)", ONCE),
    ("stair.variation.adjacent", 5, "9.8.4.4.(1), 9.8.4.4.(3)", ONCE),
    ("stair.width.min", 860, "9.8.2.1.(4)", ONCE),
    ("stair.flight.rise.max", 3700, "9.8.3.3.(1)", ONCE),
    ("load.top", 1.0 * KN, "Table 9.8.8.2.", R2),
    ("load.line", 0.5, "Table 9.8.8.2.", R2),  # kN/m
    ("load.vertical", 1.5, "Table 9.8.8.2.", R2),  # kN/m
    ("load.infill", 0.5 * KN, "Table 9.8.8.2.", R2),
    ("load.infill.area", 300 * 300, "Table 9.8.8.2.", R2),
]
NBC_LOW = [
    ("guard.height.level", 900, "9.8.8.3.(2), 9.8.8.3.(3)", R2),
    ("guard.height.stair", 900, "9.8.8.3.(2), 9.8.8.3.(3)", R2),
    ("guard.height.fall.max", 1800, "9.8.8.3.(3)", R2),
]

# ABCB Housing Provisions Standard 2022, Parts 11.2 and 11.3, in a text copy of the document; the
# cone's force is of NCC 2016 V2.5.1; that stairs of houses have no least width, of the ABCB's site.
NCC = [
    ("guard.required.fall", 1000, "11.3.3", R),
    ("guard.required.inclusive", 1, "11.3.3", R),
    ("guard.height.level", 1000, "11.3.4(2)", R),
    ("guard.height.stair", 865, "11.3.4(2)", R),
    ("opening.level", 125, "11.3.4(4)", R),
    ("opening.bottom", 125, "11.3.4(4)", R),
    ("opening.stair", 125, "11.3.4(4)", R),
    ("opening.end", 125, "11.3.4(4)", R),
    ("opening.nosing", 125, "11.3.4(4)", R),
    ("opening.triangle", NONE, "11.3.4(4)", R),
    ("opening.fascia", 40, "11.3.4(5)", R),
    ("opening.cone.force", 150, "V2.5.1", R),
    ("opening.cone.diameter", 125, "V2.5.1", R),
    ("opening.cone.length", 105, "V2.5.1", R),
    ("opening.cone.nose", 20, "V2.5.1", R),
    ("climb.horizontal", 2, "11.3.4(8)", R),
    ("climb.fall", 4000, "11.3.4(8)", R),
    ("climb.zone.low", 150, "11.3.4(8)", R),
    ("climb.zone.high", 760, "11.3.4(8)", R),
    ("handrail.rise", 1000, "11.3.5", R),
    ("handrail.sides", 1, "11.3.5", R),
    ("handrail.height.min", 865, "11.3.5", R),
    ("handrail.height.max", NONE, "11.3.5", R),
    ("stair.riser.min", 115, "Table 11.2.2a", R),
    ("stair.riser.max", 190, "Table 11.2.2a", R),
    ("stair.tread.min", 240, "Table 11.2.2a", R),
    ("stair.tread.max", 355, "Table 11.2.2a", R),
    ("stair.step.min", 550, "Table 11.2.2a", R),
    ("stair.step.max", 700, "Table 11.2.2a", R),
    ("stair.variation", 10, "11.2.2", R),
    ("stair.variation.adjacent", 5, "11.2.2", R),
    ("stair.flight.risers.min", 2, "11.2.2", R),
    ("stair.flight.risers.max", 18, "11.2.2", R),
    ("stair.width.min", NONE, "no clause", ONCE),
    ("load.top", 600, "Table 3.3", M),
    ("load.line", 0.75, "Table 3.3", M),  # kN/m
    ("load.infill", 500, "Table 3.3", M),
]

# 29 CFR 1910.29 in a second-hand copy; 1910.28(b)(11)(ii) as quoted; the rest only restated.
OSHA = [
    ("guard.required.fall", 48 * INCH, "1910.28(b)(1)(i)", M),
    ("guard.height.level", 39 * INCH, "1910.29(b)(1)", R2),  # 42 in, give or take 3 in
    ("guard.required.inclusive", 1, "1910.28(b)(1)(i)", M),
    ("guard.height.stair", 42 * INCH, "1910.29(f)(1)(ii)(B)", R2),
    ("opening.level", 19 * INCH, "1910.29(b)(2)", R2),
    ("opening.bottom", 19 * INCH, "1910.29(b)(2)", R2),
    ("opening.stair", 19 * INCH, "1910.29(f)(4)", R2),
    ("opening.end", 19 * INCH, "1910.29(b)(2)", R2),
    ("opening.triangle", 19 * INCH, "1910.29(f)(4)", R2),
    ("handrail.risers", 4, "1910.28(b)(11)(ii)", ONCE),
    ("handrail.height.min", 30 * INCH, "1910.29(f)(1)(i)", M),
    ("handrail.height.max", 38 * INCH, "1910.29(f)(1)(i)", M),
    ("handrail.clearance.min", 2.25 * INCH, "1910.29(f)(2)", R2),
    ("stair.riser.max", 9.5 * INCH, "1910.25(c)(2)", M),
    ("stair.tread.min", 9.5 * INCH, "1910.25(c)(3)", M),
    ("stair.width.min", 22 * INCH, "1910.25(c)(4)", M),
    ("load.top", 200 * LBF, "1910.29(b)(3)", R2),
    ("load.infill", 150 * LBF, "1910.29(b)(5)", R2),
]


IRC_NAMES = ("irc-2018", "irc-2021", "irc-2024")


def irc(name: str) -> list[tuple[str, float | str, str, str]]:
    """Rows of one edition of the IRC."""
    return [
        (key, value, new if name == "irc-2024" else old, irc_tag(name, key))
        for key, value, old, new in IRC
    ]


OWN: dict[str, Sequence[tuple[str, float | str, str, str]]] = {
    **{name: irc(name) for name in IRC_NAMES},
    **{name: IBC + loads for name, loads in IBC_LOADS.items()},
    **{f"{name}-dwelling": IBC_DWELLING for name in IBC_LOADS},
    "california-2022": CALIFORNIA,
    "nbc-2020": NBC,
    "nbc-2020-low": NBC_LOW,
    "ncc-2022": NCC,
    "osha-1910.29": OSHA,
}
"""What each rule set states itself."""

ROWS = [(name, *row) for name, rows in OWN.items() for row in rows]
UNITS = {"load.line": "N/mm", "load.vertical": "N/mm", "load.infill.area": "mm2"}


@pytest.fixture(scope="module")
def catalog() -> Catalog:
    return Catalog.standard()


@pytest.mark.parametrize("name,key,value,clause,tag", ROWS)
def test_limit_is_that_of_the_code(
    catalog: Catalog, name: str, key: str, value: float | str, clause: str, tag: str
) -> None:
    limit = catalog.rules(name).limit(key)
    if value == NONE:
        assert (limit.stated, limit.text) == (False, NONE)
    else:
        assert limit.stated
        assert limit.value == pytest.approx(value, rel=1e-12)
    assert (limit.clause, limit.verified, limit.stated_in) == (clause, tag in (R, R2), name)
    assert [t for t, start in SAYS.items() if limit.source.startswith(start)] == (
        [tag] if tag in SAYS else []
    )
    assert limit.unit == UNITS.get(key, unit(key))


def unit(key: str) -> str:
    """Base unit by the kind of limit."""
    counts = ("handrail.risers", "handrail.sides", "climb.horizontal", INCLUSIVE)
    if key in counts or ".risers." in key:
        return "count"
    if key == "handrail.ramp.slope":
        return "number"
    return "N" if key.startswith("load.") or key.endswith(".force") else "mm"


@pytest.mark.parametrize("name", OWN)
def test_rule_set_states_nothing_else(catalog: Catalog, name: str) -> None:
    rules = catalog.rules(name)
    stated = [key for key, limit in rules.limits.items() if limit.stated_in == name]
    assert sorted(stated) == sorted(row[0] for row in OWN[name])


def test_there_are_no_other_rule_sets(catalog: Catalog) -> None:
    assert set(catalog.names("rules")) == {*OWN, "practice"}


@pytest.mark.parametrize("name", OWN)
def test_rule_set_is_whole_and_a_job_can_go_by_it(catalog: Catalog, name: str) -> None:
    rules = catalog.rules(name)
    assert missing(rules) == ()
    assert rules.bases[-1] == "practice"
    whole = completed(rules)
    assert set(whole.limits) == set(LIMITS)
    assert all(not whole.limits[key].stated for key in set(LIMITS) - set(rules.limits))


def test_practice_is_no_rule_set_to_go_by(catalog: Catalog) -> None:
    rules = catalog.rules("practice")
    assert "guard.height.level" in missing(rules)
    assert all(key.startswith("practice.") for key in rules.limits)
    with pytest.raises(KeyError, match=r"guard\.required\.fall"):
        completed(rules)


@pytest.mark.parametrize("name", OWN)
def test_practice_is_the_same_everywhere(catalog: Catalog, name: str) -> None:
    # One change in practice.yaml holds for all.
    rules, practice = catalog.rules(name), catalog.rules("practice")
    taken = {key: limit for key, limit in rules.limits.items() if key.startswith("practice.")}
    assert taken == dict(practice.limits)


EDITIONS = {
    ("irc-2018", "handrail.return-gap"): "IRC 2024",  # 2018 and 2021 ask for a return, no measure
    ("irc-2021", "handrail.return-gap"): "IRC 2024",
    **{(name, "handrail.return-gap"): "IRC 2024" for name in IBC_LOADS},
    **{
        ("ncc-2022", f"opening.cone.{key}"): "NCC 2016"
        for key in ("force", "diameter", "length", "nose")
    },
    **{
        ("ncc-2022", f"load.{key}"): "AS/NZS 1170.1"  # 11.3.4(11) names it
        for key in ("top", "line", "infill")
    },
}
EDITION = {
    **{f"irc-{year}": f"IRC {year}" for year in (2018, 2021, 2024)},
    **{f"ibc-{year}": f"IBC {year}" for year in (2018, 2021, 2024)},
    **{f"ibc-{year}-dwelling": f"IBC {year}" for year in (2018, 2021, 2024)},
    "california-2022": "CRC 2022",
    "nbc-2020": "NBC 2020",
    "nbc-2020-low": "NBC 2020",
    "ncc-2022": "NCC 2022",
    "osha-1910.29": "29 CFR 1910",
}


@pytest.mark.parametrize("name", OWN)
def test_editions(catalog: Catalog, name: str) -> None:
    rules = catalog.rules(name)
    assert rules.edition == EDITION[name]
    for key, *_ in OWN[name]:
        assert rules.limit(key).edition == EDITIONS.get((name, key), EDITION[name])


def replaced(rules: RuleSet) -> dict[str, Limit]:
    return {key: limit for key, limit in rules.limits.items() if limit.replaces is not None}


@pytest.mark.parametrize(
    "name,base", [(f"ibc-{year}-dwelling", f"ibc-{year}") for year in (2018, 2021, 2024)]
    + [("california-2022", "irc-2021"), ("nbc-2020-low", "nbc-2020")],
)  # fmt: skip
def test_what_is_put_in_place_says_why_and_the_rest_is_the_base(
    catalog: Catalog, name: str, base: str
) -> None:
    rules, whole = catalog.rules(name), catalog.rules(base)
    changed = replaced(rules)
    assert set(changed) == {row[0] for row in OWN[name]}
    for key, limit in changed.items():
        assert limit.reason
        assert limit.replaces == whole.limit(key)
        assert limit.value != whole.limit(key).value
    rest = {key: limit for key, limit in rules.limits.items() if key not in changed}
    assert rest == {key: limit for key, limit in whole.limits.items() if key not in changed}


def test_renumbering_of_2024_changes_clauses_and_nothing_else(catalog: Catalog) -> None:
    old, new = catalog.rules("irc-2021"), catalog.rules("irc-2024")
    assert set(old.limits) == set(new.limits)
    for key, limit in old.limits.items():
        assert limit.value == new.limit(key).value
    # R312 is the area of rooms in 2024: no guard may be held to it.
    assert not [limit.key for limit in new.limits.values() if limit.clause.startswith("R31")
                and not limit.clause.startswith("R318.")]  # fmt: skip


def test_what_was_not_read_is_said_to_be(catalog: Catalog) -> None:
    for name in OWN:
        for limit in catalog.rules(name).limits.values():
            unread = limit.source.startswith((*SAYS.values(), "common practice"))
            assert limit.verified is not unread, (name, limit.key)
