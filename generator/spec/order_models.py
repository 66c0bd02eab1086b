"""The mapping `order` of a spec: what is ordered beyond the need, and a list of prices."""

from __future__ import annotations

import re
from typing import Annotated, Any

from pydantic import PlainValidator, WithJsonSchema

from generator.spec.fields import refuse
from generator.spec.job import Order, Spare, Spares
from generator.spec.part import Part, absent, given

_SHARE = re.compile(r"([0-9]{1,3}(?:\.[0-9]{1,3})?) ?%")
_MOST_PER_CENT = 100.0
_MOST_PIECES = 10_000


def _share(read: Any) -> Spare:
    match = _SHARE.fullmatch(read.strip()) if isinstance(read, str) else None
    if match is None or float(match[1]) > _MOST_PER_CENT:
        raise refuse("a share such as 10 %, at most 100 %")
    return Spare(share=float(match[1]) / 100)


def _spare(read: Any) -> Spare:
    if isinstance(read, int) and not isinstance(read, bool) and 0 <= read <= _MOST_PIECES:
        return Spare(pieces=read)
    if isinstance(read, str) and _SHARE.fullmatch(read.strip()):
        return _share(read)
    raise refuse("a share such as 10 %, at most 100 %, or a whole number of pieces, at most 10000")


def _file(read: Any) -> str:
    if not isinstance(read, str) or not read.strip() or not read.isprintable():
        raise refuse("the name of a CSV file, seen from the folder of this file")
    return read


_SHARE_JSON = {"type": "string", "pattern": rf"^\s*{_SHARE.pattern}\s*$"}
_PIECES_JSON = {"type": "integer", "minimum": 0, "maximum": _MOST_PIECES}
SpareShare = Annotated[Spare, PlainValidator(_share), WithJsonSchema(_SHARE_JSON)]
SparePieces = Annotated[
    Spare, PlainValidator(_spare), WithJsonSchema({"anyOf": [_SHARE_JSON, _PIECES_JSON]})
]

File = Annotated[str | None, PlainValidator(_file), WithJsonSchema({"type": "string"})]


class SparesSpec(Part):
    """What is ordered beyond the need: a share, rounded up to whole pieces, or so many pieces."""

    cable: SpareShare = given("10 %", "of the length of all cables")
    fittings: SparePieces = given(
        "5 %", "of the end fittings, and of their nuts, washers and seats"
    )
    fasteners: SparePieces = given("5 %", "of the anchors with their nuts and washers, and screws")
    pieces: SparePieces = given("0 %", "of caps, sleeves, brackets and what else is bought ready")


class OrderSpec(Part):
    """How the order list is made."""

    spares: SparesSpec = given({}, "what is ordered beyond the need")
    prices: File = absent("price list as CSV, seen from this file; --prices wins over it")


ORDER_MAPPINGS: dict[tuple[str, ...], type[Part]] = {
    ("order",): OrderSpec,
    ("order", "spares"): SparesSpec,
}
"""The models of these mappings, by their places."""


def frozen_order(spec: OrderSpec) -> Order:
    """The order's settings as the job holds them."""
    spares = spec.spares
    return Order(
        Spares(spares.cable, spares.fittings, spares.fasteners, spares.pieces), spec.prices
    )
