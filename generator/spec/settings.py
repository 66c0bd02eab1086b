"""What a job asks of its outputs: papers, drawings, spares and prices of the order."""

from __future__ import annotations

from typing import Literal

from generator.frozen import dataclass

SheetName = Literal["arch-b", "arch-d", "ansi-b", "a3", "a1"]
ScaleName = Literal["1 in", "3/4 in", "1/2 in", "3/8 in", "1/4 in", "1:10", "1:20", "1:25", "1:50"]


@dataclass(frozen=True, slots=True)
class OutputChoices:
    """How files are written: the STEP application protocol, and the paper of what is printed."""

    step_schema: Literal["ap214", "ap242"] = "ap214"
    paper: Literal["letter", "a4"] | None = None


@dataclass(frozen=True, slots=True)
class Spare:
    """What is ordered beyond the need: a share of it, rounded up, or so many pieces."""

    share: float = 0.0
    pieces: int = 0


@dataclass(frozen=True, slots=True)
class Spares:
    """Of the cables' length, of end fittings with what holds them, of anchors and screws, of what
    else is bought ready. The defaults are common practice, no source.
    """

    cable: Spare = Spare(share=0.10)
    fittings: Spare = Spare(share=0.05)
    fasteners: Spare = Spare(share=0.05)
    pieces: Spare = Spare()


@dataclass(frozen=True, slots=True)
class Order:
    """How the order list is made; `prices` is the file of a price list, seen from the spec."""

    spares: Spares = Spares()
    prices: str | None = None


@dataclass(frozen=True, slots=True)
class Revision:
    """A row of the revision table, as it is printed."""

    mark: str
    date: str
    text: str
    by: str = ""


@dataclass(frozen=True, slots=True)
class Drawings:
    """How the permit set is drawn and what its title block says; None: whatever fits.

    `units` other than `job` are those of the lengths on the sheets. `since` names the results
    document of a former build, seen from the spec; empty for none.
    """

    sheet: SheetName | None = None
    scale: ScaleName | None = None
    units: Literal["job", "in", "mm"] = "job"
    firm: str = ""
    drawn_by: str = ""
    date: str = ""
    owner: str = ""
    address: str = ""
    parcel: str = ""
    seal: bool = True
    since: str = ""
    revisions: tuple[Revision, ...] = ()


@dataclass(frozen=True, slots=True)
class StrengthInputs:
    """What the calculation cannot read from the parts; every default is the unfavourable one.

    `propping`: whether the top rail props end posts against the cables. `base`: bases of propped
    posts taken fixed, giving by `base_give_deg`, or fixed and hinged, whichever is worse.
    `base_give_deg` is how far a base turns under the load at the top. `rail`: spans of the rail
    simple, or continuous over the posts of one piece. `duration` and `moisture` are of wood.
    `weld_mm` is the leg of the fillet round a post, None for as thick as its wall. `relaxation` is
    the share of its tension that a cable loses after it was last pulled. `elsewhere`: others
    calculate the strength of this job.
    """

    propping: Literal["none", "rail"] = "none"
    base: Literal["fixed", "gives", "worse"] = "worse"
    base_give_deg: float = 1.0
    rail: Literal["simple", "continuous"] = "simple"
    duration: float = 1.0
    moisture: Literal["wet", "dry"] = "wet"
    weld_mm: float | None = None
    filler: Literal["4043", "5356"] = "4043"
    relaxation: float = 0.2
    elsewhere: bool = False
