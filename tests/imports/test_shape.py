"""The shape of the code: short files, short functions, a sentence at the top of each module."""

from __future__ import annotations

import ast
from pathlib import Path

LONGEST_FILE = 400  # lines
LONGEST_FUNCTION = 60


def sources(root: Path) -> list[Path]:
    found = sorted((root / "generator").rglob("*.py"))
    assert len(found) > 40
    return found


def test_files_stay_short(root):
    long = [p.name for p in sources(root) if len(p.read_text("utf-8").splitlines()) > LONGEST_FILE]
    assert long == []


def test_functions_stay_short(root):
    long = [
        f"{path.name}: {node.name}"
        for path in sources(root)
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.FunctionDef)
        and (node.end_lineno or 0) - node.lineno + 1 > LONGEST_FUNCTION
    ]
    assert long == []


def test_public_functions_and_classes_of_the_library_are_explained(root):
    """What a caller of the small public library meets first."""
    for name in ("build.py", "outputs.py", "swap.py", "results/document.py", "results/models.py"):
        tree = ast.parse((root / "generator" / name).read_text("utf-8"))
        silent = [
            node.name
            for node in tree.body
            if isinstance(node, ast.FunctionDef | ast.ClassDef)
            and not node.name.startswith("_")
            and ast.get_docstring(node) is None
        ]
        assert silent == [], name
