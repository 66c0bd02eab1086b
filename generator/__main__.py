"""`python -m generator` is `stringline`."""

from __future__ import annotations

import sys

from generator.cli import run

if __name__ == "__main__":
    sys.exit(run())
