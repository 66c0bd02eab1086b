"""Entities of a DXF as the tags that stand in the file: lines, curves, text and true dimensions.

The library of the file format makes an object of each and writes it attribute by attribute, which
takes ten times as long. Here it gives handles and keeps layers, blocks, layouts and all else; what
is written is read by it, and by others, in the tests.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import Any

import ezdxf

from generator.geometry import Vec2

_ALIGNED = {"left": 0, "centre": 1, "right": 2}


@contextmanager
def fixed_metadata() -> Iterator[None]:
    """No clock and no chance in the file; the library keeps this setting for the whole process."""
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


def file_text(doc: Any) -> str:
    """The whole file, the same for the same document."""
    with fixed_metadata():
        # The library goes through a set of its classes: their order would be another in each run.
        doc.classes.add_required_classes(doc.dxfversion)
        doc.classes.classes = dict(sorted(doc.classes.classes.items()))
        stream = io.StringIO()
        doc.write(stream)
    return stream.getvalue()


class Written:
    """Stands among the entities of a layout or block and is only exported."""

    __slots__ = ("text",)
    is_alive = True

    def __init__(self, text: str) -> None:
        self.text = text

    def dxftype(self) -> str:
        """No kind that a search in a layout would look for."""
        return ""

    def export_dxf(self, writer: Any) -> None:
        """Called by the library as it writes the file."""
        writer.write_str(self.text)


class Scribe:
    """Writes entities into one layout or block; points are in the unit of the file."""

    def __init__(self, doc: Any, space: Any) -> None:
        self._next = doc.entitydb.next_handle
        self._add = space.entity_space.entities.append
        self._owner = f"330\n{space.layout_key}\n100\nAcDbEntity\n"
        if space.is_any_paperspace:
            self._owner += " 67\n1\n"

    def _put(self, kind: str, layer: str, rest: str) -> None:
        head = f"  0\n{kind}\n  5\n{self._next()}\n{self._owner}  8\n{layer}\n"
        self._add(Written(head + rest))

    def line(self, a: Vec2, b: Vec2, layer: str, pen: int | None = None) -> None:
        """`pen` is its width in 1/100 mm where it is not that of the layer."""
        width = "" if pen is None else f"370\n{pen}\n"
        self._put("LINE", layer, f"{width}100\nAcDbLine\n{_point(10, a)}{_point(11, b)}")

    def polyline(
        self, points: Sequence[Vec2], layer: str, *, closed: bool, bulges: Sequence[float] = ()
    ) -> None:
        """`bulges`, where given, are of the sides from each point on: 0 for a straight one."""
        corners = [f" 10\n{x}\n 20\n{y}\n" for x, y in points]
        if bulges:
            corners = [
                f"{corner} 42\n{bulge}\n" if bulge else corner
                for corner, bulge in zip(corners, bulges, strict=True)
            ]
        count = f"100\nAcDbPolyline\n 90\n{len(points)}\n 70\n{int(closed)}\n"
        self._put("LWPOLYLINE", layer, count + "".join(corners))

    def circle(self, centre: Vec2, radius: float, layer: str) -> None:
        self._put("CIRCLE", layer, f"100\nAcDbCircle\n{_point(10, centre)} 40\n{radius}\n")

    def arc(self, centre: Vec2, radius: float, start: float, end: float, layer: str) -> None:
        """Counter-clockwise, angles in degrees."""
        self._put(
            "ARC",
            layer,
            f"100\nAcDbCircle\n{_point(10, centre)} 40\n{radius}\n"
            f"100\nAcDbArc\n 50\n{start}\n 51\n{end}\n",
        )

    def solid(self, corners: Sequence[Vec2], layer: str) -> None:
        """Three or four corners, the third and fourth of four named crosswise."""
        four = (*corners, corners[-1])[:4]
        points = "".join(_point(10 + k, corner) for k, corner in enumerate(four))
        self._put("SOLID", layer, f"100\nAcDbTrace\n{points}")

    def text(
        self,
        at: Vec2,
        text: str,
        height: float,
        layer: str,
        *,
        anchor: str,
        turn_deg: float = 0.0,
        style: str = "",
        middle: bool = True,
    ) -> None:
        """One line about its middle line, or on its base line."""
        turn = f" 50\n{turn_deg}\n" if turn_deg else ""
        named = f"  7\n{style}\n" if style else ""
        aligned = f" 72\n{_ALIGNED[anchor]}\n" if _ALIGNED[anchor] else ""
        self._put(
            "TEXT",
            layer,
            f"100\nAcDbText\n{_point(10, at)} 40\n{height}\n  1\n{text}\n{turn}{named}{aligned}"
            f"{_point(11, at)}100\nAcDbText\n{f' 73{chr(10)}2{chr(10)}' if middle else ''}",
        )

    def dimension(self, layer: str, values: Mapping[int, str | int | float | Vec2]) -> None:
        """What all dimensions have, then the tags of its kind: `linear` or `angular`."""
        told = "".join(
            _point(code, value) if isinstance(value, tuple) else f"{code:3}\n{value}\n"
            for code, value in values.items()
        )
        self._put("DIMENSION", layer, f"100\nAcDbDimension\n280\n0\n{told}")


def linear(a: Vec2, b: Vec2, angle_deg: float) -> str:
    """The tags of a dimension between two points, measured along an angle."""
    return (
        f"AcDbAlignedDimension\n{_point(13, a)}{_point(14, b)} 50\n{angle_deg}\n"
        "100\nAcDbRotatedDimension"
    )


def angular(a: Vec2, b: Vec2, vertex: Vec2) -> str:
    """The tags of a dimension of the angle at a vertex, from one point to another."""
    points = f"{_point(13, a)}{_point(14, b)}{_point(15, vertex)}{_point(16, (0.0, 0.0))}"
    return f"AcDb3PointAngularDimension\n{points[:-1]}"


def _point(code: int, point: Vec2) -> str:
    return f"{code:3}\n{point[0]}\n{code + 10:3}\n{point[1]}\n{code + 20:3}\n0.0\n"
