"""Pieces cut from bars, or cables from spools, at the least cost, with proof or the gap left."""

from generator.nesting.model import (
    SQUARE,
    Bar,
    Cut,
    Kind,
    Line,
    Placed,
    Plan,
    Rules,
    TooLong,
    TooShort,
    straight,
)
from generator.nesting.solve import nest, nest_once

__all__ = [
    "SQUARE",
    "Bar",
    "Cut",
    "Kind",
    "Line",
    "Placed",
    "Plan",
    "Rules",
    "TooLong",
    "TooShort",
    "nest",
    "nest_once",
    "straight",
]
