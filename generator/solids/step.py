"""Writes the parts table as one STEP assembly."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from generator import __version__
from generator.parts.assembly import Assembly
from generator.products.tree import product_tree


def write_step(
    assembly: Assembly,
    path: Path,
    *,
    schema: str = "AP214IS",
    progress: Callable[[str], None] | None = None,
) -> None:
    """Write one STEP assembly (ISO 10303-21), each distinct part modelled once and placed, in mm.

    `schema` is AP214IS (ISO 10303-214) or AP242DIS (ISO 10303-242). The same assembly gives the
    same bytes. `progress` is told, in words, what has been done, and which parts were left out as
    they bound no solid.

    Raises:
        BuildError: no part bounds a solid, or the kernel refuses to write; `path` is untouched.
        OSError: `path` cannot be written.
    """
    # Loads the CAD kernel, half a second, which a program that only asks for this function spares.
    from generator.solids.document import step_text

    root = product_tree(assembly)
    system = f"stringline {__version__}"
    path.write_bytes(step_text(root, schema=schema, system=system, progress=progress))
