"""Run by test_imports.py: imports every module given, each in a fork of a fresh interpreter.

It prints a line for each one that fails. Warnings are errors.
"""

from __future__ import annotations

import importlib
import os
import sys
import traceback

failed = False
for name in sys.argv[1:]:
    child = os.fork()
    if child == 0:
        try:
            importlib.import_module(name)
        except BaseException:  # noqa: BLE001 - whatever an import may raise is told
            print(f"{name}: {traceback.format_exc(limit=-1)}", flush=True)
            os._exit(1)
        os._exit(0)
    failed |= os.waitpid(child, 0)[1] != 0
sys.exit(failed)
