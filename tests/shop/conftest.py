"""Reads PDF pages back for the tests: strokes in millimetres of the page, and lines of text."""
# pypdf tells the type of no entry that it reads.
# pyright: reportAttributeAccessIssue=false, reportArgumentType=false, reportIndexIssue=false

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass

import pytest
from pypdf import PdfReader
from pypdf.generic import ContentStream

MM = 25.4 / 72  # ISO 32000-1, 8.3.2: a unit of user space is 1/72 in
Point = tuple[float, float]


@dataclass(frozen=True)
class Stroke:
    """One subpath as it was drawn: its points in mm of the page, curves by their ends."""

    points: tuple[Point, ...]

    @property
    def size(self) -> Point:
        xs, ys = zip(*self.points, strict=True)
        return max(xs) - min(xs), max(ys) - min(ys)

    @property
    def middle(self) -> Point:
        xs, ys = zip(*self.points, strict=True)
        return (max(xs) + min(xs)) / 2, (max(ys) + min(ys)) / 2


Matrix = tuple[float, float, float, float, float, float]


def _times(a: Matrix, b: Matrix) -> Matrix:
    return (
        a[0] * b[0] + a[1] * b[2],
        a[0] * b[1] + a[1] * b[3],
        a[2] * b[0] + a[3] * b[2],
        a[2] * b[1] + a[3] * b[3],
        a[4] * b[0] + a[5] * b[2] + b[4],
        a[4] * b[1] + a[5] * b[3] + b[5],
    )


def strokes_of(reader: PdfReader, number: int) -> list[Stroke]:
    """Every subpath of a page's content stream, through all its transformations."""
    stack: list[Matrix] = []
    now: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
    path: list[list[Point]] = []
    found: list[Stroke] = []
    content = ContentStream(reader.pages[number].get_contents(), reader)

    def at(x: float, y: float) -> Point:
        return (
            (x * now[0] + y * now[2] + now[4]) * MM,
            (x * now[1] + y * now[3] + now[5]) * MM,
        )

    for operands, operator in content.operations:
        values = (
            [float(value) for value in operands] if operator in (b"cm", b"m", b"l", b"c") else []
        )
        match operator:
            case b"q":
                stack.append(now)
            case b"Q":
                now = stack.pop()
            case b"cm":
                now = _times(
                    (values[0], values[1], values[2], values[3], values[4], values[5]), now
                )
            case b"m":
                path.append([at(*values)])
            case b"l":
                path[-1].append(at(*values))
            case b"c":
                path[-1].append(at(*values[4:]))
            case b"S" | b"s" | b"f" | b"b" | b"B" | b"n" | b"f*" | b"B*" | b"b*":
                found += [Stroke(tuple(points)) for points in path if len(points) > 1]
                path = []
    return found


@pytest.fixture(scope="session")
def read() -> Callable[[bytes], PdfReader]:
    return lambda data: PdfReader(io.BytesIO(data))


@pytest.fixture(scope="session")
def strokes() -> Callable[[PdfReader, int], list[Stroke]]:
    return strokes_of
