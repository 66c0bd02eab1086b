"""Writes the parts table as one STEP assembly."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from generator import __version__
from generator.parts.assembly import Assembly
from generator.products.tree import product_tree, tree_and_parts

_SYSTEM = f"stringline {__version__}"


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
    path.write_bytes(step_text(root, schema=schema, system=_SYSTEM, progress=progress))


def write_model_and_parts(
    assembly: Assembly,
    folder: Path,
    *,
    schema: str = "AP214IS",
    progress: Callable[[str], None] | None = None,
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Write `model.step` as `write_step` does, and a file for every distinct part of the guard.

    The parts go into `parts/` in the folder, in their own coordinates, under the names and in the
    colours that they have in the model; a part that bounds no solid has no file. Returns the names
    of the parts' files, each with the marks of the parts that it is.

    Raises:
        BuildError: no part bounds a solid, or the kernel refuses to write.
        OSError: a file cannot be written.
    """
    from generator.solids.document import NoSolidError, step_text

    root, parts = tree_and_parts(assembly)
    model = step_text(root, schema=schema, system=_SYSTEM, progress=progress)
    (folder / "model.step").write_bytes(model)
    (folder / "parts").mkdir(exist_ok=True)
    written: list[tuple[str, tuple[str, ...]]] = []
    for part in parts:
        try:
            text = step_text(part.solid, schema=schema, system=_SYSTEM)
        except NoSolidError:
            continue  # told already, with the model that leaves it out
        name = f"parts/{part.file}.step"
        (folder / name).write_bytes(text)
        written.append((name, part.marks))
    return tuple(written)
