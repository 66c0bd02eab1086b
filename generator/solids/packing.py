"""STEP text in fewer bytes: values told once, short numbers and references, no blanks.

The kernel writes every point, direction and unit anew for each use, which is half of a file. None
of them has an identity of its own: ISO 10303 lets any number of instances refer to one.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

# Two quotes in a row, an empty string or a quote within one, stand as this while the text is worked
# on: every other quote then begins or ends a string.
_TWO_QUOTES = "\0"
_INSTANCE = re.compile(r"#(\d+)=((?:[^';]+|'[^']*')*);")
_REFERENCE = re.compile(r"#(\d+)")
_REAL = re.compile(r"-?\d+\.\d*(?:E[+-]\d+)?")

_POINT, _DIRECTION, _PLACEMENT = "CARTESIAN_POINT(", "DIRECTION(", "AXIS2_PLACEMENT_3D("
_NOISE = {_POINT: 1e-10, _DIRECTION: 1e-14}  # mm; part of a unit vector
# What is told once; in this order each refers to what has been shared before it.
_VALUES: tuple[tuple[str, ...], ...] = (
    (_POINT, _DIRECTION, "PRODUCT_CONTEXT(", "PRODUCT_DEFINITION_CONTEXT("),
    (_PLACEMENT, "VECTOR(", "(LENGTH_UNIT(", "(NAMED_UNIT("),
    ("LINE(", "UNCERTAINTY_MEASURE_WITH_UNIT("),
)
# A placement of an occurrence is listed here, and each of a list is for itself.
_LISTED = re.compile(r"SHAPE_REPRESENTATION\([^(]*\(([^)]*)\)")
_OCCURRENCE = re.compile(r"(NEXT_ASSEMBLY_USAGE_OCCURRENCE)\('\d+',")
# The kernel says this of every occurrence, where a description may stand.
_SAID_OF_ALL = "PRODUCT_DEFINITION_SHAPE('Placement','Placement of an item',"


def packed(text: str) -> str:
    """The same exchange structure (ISO 10303-21), one instance a line.

    Instances and occurrences are numbered from 1; the kernel counts occurrences through all files
    of a process. A coordinate below 1e-10 mm, or 1e-14 of a unit vector, is rounding noise and
    becomes 0; no other number changes its value.
    """
    begin = text.index("ENDSEC;\nDATA;\n") + len("ENDSEC;\nDATA;\n")
    end = text.rindex("ENDSEC;")
    instances = _INSTANCE.findall(_dense(text[begin:end]))
    bodies = _with_occurrences_numbered({number: _shortened(body) for number, body in instances})
    twins = _twins(bodies)
    kept = [number for number in bodies if number not in twins]
    numbers = {number: f"#{k}" for k, number in enumerate(kept, start=1)}
    numbers |= {twin: numbers[first] for twin, first in twins.items()}
    lines = (f"{numbers[number]}={_referring(bodies[number], numbers)};\n" for number in kept)
    return text[:begin] + "".join(lines).replace(_TWO_QUOTES, "''") + text[end:]


def _dense(data: str) -> str:
    """Without blanks between tokens and without the line breaks that the kernel puts in strings."""
    pieces = data.replace("''", _TWO_QUOTES).split("'")
    pieces[::2] = ("".join(piece.split()) for piece in pieces[::2])
    pieces[1::2] = (piece.replace("\n", "") for piece in pieces[1::2])
    return "'".join(pieces)


def _shortened(body: str) -> str:
    noise = _NOISE.get(body[: body.index("(") + 1])
    if noise is not None:
        return _REAL.sub(lambda found: _real(found[0], noise), body)
    if body.startswith(_SAID_OF_ALL):
        return body.replace(_SAID_OF_ALL, f"PRODUCT_DEFINITION_SHAPE({_TWO_QUOTES},{_TWO_QUOTES},")
    return body


def _real(told: str, noise: float) -> str:
    """The shortest way to write a real number; 0 for noise."""
    value = float(told)
    if abs(value) < noise:
        return "0."
    plain = repr(value)
    return told if "e" in plain else min(told, plain.removesuffix("0"), key=len)


def _with_occurrences_numbered(bodies: Mapping[str, str]) -> dict[str, str]:
    count = 0
    numbered: dict[str, str] = {}
    for number, body in bodies.items():
        if body.startswith("NEXT_ASSEMBLY_USAGE_OCCURRENCE("):
            count += 1
            numbered[number] = _OCCURRENCE.sub(rf"\g<1>('{count}',", body)
        else:
            numbered[number] = body
    return numbered


def _twins(bodies: Mapping[str, str]) -> dict[str, str]:
    """For every value that was told before, the number of the first that tells it."""
    listed = {
        number
        for body in bodies.values()
        for items in _LISTED.findall(body)
        for number in _REFERENCE.findall(items)
    }
    twins: dict[str, str] = {}
    first: dict[str, str] = {}
    for kinds in _VALUES:
        references = {twin: f"#{number}" for twin, number in twins.items()}
        for number, body in bodies.items():
            if body.startswith(kinds) and number not in listed:
                told = first.setdefault(_referring(body, references), number)
                if told != number:
                    twins[number] = told
    return twins


def _referring(body: str, references: Mapping[str, str]) -> str:
    """An instance with its references replaced; those that are not listed stay."""

    def replaced(found: re.Match[str]) -> str:
        return references.get(found[1], found[0])

    if "'" not in body:
        return _REFERENCE.sub(replaced, body)
    pieces = body.split("'")
    pieces[::2] = (_REFERENCE.sub(replaced, piece) for piece in pieces[::2])
    return "'".join(pieces)
