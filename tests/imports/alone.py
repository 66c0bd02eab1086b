"""Run by test_imports.py: imports every module given, each in a fork of a fresh interpreter.

It prints a line for each one that fails. Warnings are errors. What takes long to load is loaded
before the forks: packages of others, and for the upper floors `spec`, which can import none of
theirs (`make floors`), so that no order of imports is hidden.
"""

from __future__ import annotations

import gc
import importlib
import os
import sys
import traceback

# What is loaded, and the modules that are tried with it, by their beginnings; the rest between.
OTHERS = ("numpy", "pydantic", "yaml", "ezdxf")
LOWER = ("units", "geometry", "frozen", "errors", "textfile", "nesting", "catalog", "spec")
LOADED = ("generator.spec", "generator.spec.models")
KERNEL = ("OCP",)
SOLIDS = ("solids",)


def fails(name: str) -> bool:
    child = os.fork()
    if child == 0:
        try:
            importlib.import_module(name)
        except BaseException:  # noqa: BLE001 - whatever an import may raise is told
            print(f"{name}: {traceback.format_exc(limit=-1)}", flush=True)
            os._exit(1)
        os._exit(0)
    return os.waitpid(child, 0)[1] != 0


def tried(loaded: tuple[str, ...], names: list[str]) -> bool:
    """Whether one of these fails, with packages loaded before."""
    for package in loaded:
        importlib.import_module(package)
    gc.freeze()
    failed = [name for name in names if fails(name)]
    return bool(failed)


def floor(name: str) -> str:
    return name.split(".")[1] if "." in name else LOWER[0]


gc.disable()
names = sys.argv[1:]
lower = [name for name in names if floor(name) in LOWER]
solids = [name for name in names if floor(name) in SOLIDS]
others = [name for name in names if floor(name) not in (*LOWER, *SOLIDS)]
assert len(lower) + len(solids) + len(others) == len(names)
sys.exit(any([tried(OTHERS, lower), tried(LOADED, others), tried(KERNEL, solids)]))
