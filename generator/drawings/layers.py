"""Layers and linetypes of the drawings, named after the United States National CAD Standard.

Guards have no group of their own there; they stand under `A-FLOR-HRAL` with minor groups that the
descriptions in the file explain.
"""

from __future__ import annotations

from generator.frozen import dataclass

OUTLINE = "A-FLOR-OTLN"
EDGE = "A-FLOR-OTLN-EDGE"
OBSTACLE = "A-FLOR-OTLN-OBST"
STAIR = "A-FLOR-STRS"
NOSING = "A-FLOR-STRS-NOSE"
WALL = "A-WALL"
POST = "A-FLOR-HRAL-POST"
RAIL = "A-FLOR-HRAL-RAIL"
CABLE = "A-FLOR-HRAL-CABL"
SPACER = "A-FLOR-HRAL-SPCR"
HARDWARE = "A-FLOR-HRAL-HDWR"
HANDRAIL = "A-FLOR-HRAL-GRIP"
HIDDEN = "A-FLOR-HRAL-HIDN"
CENTRE = "A-FLOR-HRAL-CNTR"
BELOW = "A-FLOR-HIDN"
COLUMN = "S-COLS"
BEAM = "S-BEAM"
BEAM_HIDDEN = "S-BEAM-HIDN"
CUT = "A-DETL-MCUT"
SEEN = "A-DETL-MBND"
UNSEEN = "A-DETL-HIDN"
HATCH = "A-DETL-PATT"
DIMENSIONS = "A-ANNO-DIMS"
TEXT = "A-ANNO-TEXT"
SYMBOLS = "A-ANNO-SYMB"
TITLE_BLOCK = "A-ANNO-TTLB"
CLOUDS = "A-ANNO-REVC"
MATCH = "A-ANNO-MATC"
FRAMES = "A-ANNO-NPLT"


@dataclass(frozen=True, slots=True)
class Layer:
    """`colour` is an AutoCAD colour index, `pen` a line weight in hundredths of a millimetre."""

    name: str
    colour: int
    pen: int
    linetype: str
    about: str


LAYERS: tuple[Layer, ...] = (
    Layer(OUTLINE, 8, 35, "Continuous", "Decks and floors"),
    Layer(EDGE, 7, 50, "Continuous", "Measured path: deck edges and stair sides"),
    Layer(OBSTACLE, 8, 35, "Continuous", "What stands near the guard and must stay clear of it"),
    Layer(STAIR, 8, 35, "Continuous", "Treads"),
    Layer(NOSING, 6, 25, "PHANTOM", "Nosings and nosing lines"),
    Layer(WALL, 7, 50, "Continuous", "Walls"),
    Layer(POST, 7, 50, "Continuous", "Guard posts"),
    Layer(RAIL, 5, 35, "Continuous", "Guard rails"),
    Layer(CABLE, 3, 18, "Continuous", "Guard cables, one line each"),
    Layer(SPACER, 30, 25, "Continuous", "Guard spacers"),
    Layer(HARDWARE, 8, 18, "Continuous", "Base plates, brackets, fittings, anchors"),
    Layer(HANDRAIL, 4, 25, "Continuous", "Handrails and their brackets"),
    Layer(HIDDEN, 8, 18, "HIDDEN", "Parts of the guard inside a floor, a tread or a rail"),
    Layer(BELOW, 8, 18, "HIDDEN", "Floors, stairs and guards under a higher floor"),
    Layer(COLUMN, 7, 50, "Continuous", "Posts that stand there already"),
    Layer(BEAM, 8, 25, "Continuous", "Framing that is seen: rims, fascias, stringers"),
    Layer(BEAM_HIDDEN, 8, 18, "HIDDEN", "Framing and blocking under a floor"),
    Layer(CENTRE, 1, 18, "CENTER", "Guard line and post axes"),
    Layer(CUT, 7, 50, "Continuous", "Details: what the section cuts"),
    Layer(SEEN, 7, 25, "Continuous", "Details: what is seen beyond the section"),
    Layer(UNSEEN, 8, 18, "HIDDEN", "Details: what is hidden"),
    Layer(HATCH, 8, 18, "Continuous", "Details: hatching of what is cut"),
    Layer(DIMENSIONS, 7, 18, "Continuous", "Dimensions"),
    Layer(TEXT, 7, 25, "Continuous", "Titles and notes"),
    Layer(SYMBOLS, 7, 25, "Continuous", "Marks, north arrow, scale bar, stair arrows"),
    Layer(TITLE_BLOCK, 7, 70, "Continuous", "Border and title block"),
    Layer(CLOUDS, 1, 35, "Continuous", "Clouds around what a revision changed"),
    Layer(MATCH, 7, 50, "PHANTOM", "Match lines"),
    Layer(FRAMES, 8, 18, "Continuous", "Frames of viewports, not plotted"),
)

# Dashes (positive) and gaps (negative) as plotted, mm.
LINETYPES: dict[str, tuple[str, tuple[float, ...]]] = {
    "CENTER": ("Center ____ _ ____ _", (12.0, -2.0, 3.0, -2.0)),
    "HIDDEN": ("Hidden __ __ __ __", (3.0, -1.5)),
    "PHANTOM": ("Phantom ____ _ _ ____", (12.0, -2.0, 2.5, -2.0, 2.5, -2.0)),
}
