"""`python -m generator` is `stringline`."""

from __future__ import annotations

import gc
import sys

from generator.cli import main


def run() -> int:
    """The command as a process of its own: `main`, and out by the shortest way."""
    try:
        return main()
    finally:
        # Python looks for cyclic garbage twice more on its way out, through all that was loaded:
        # a seventh of the time of `check`. All memory goes back at once anyway.
        gc.freeze()


if __name__ == "__main__":
    sys.exit(run())
