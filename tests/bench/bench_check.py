"""Times `stringline check` of the demo job against its floor, in one run, and prints the ratio.

    python tests/bench/bench_check.py

The floor is `python -c "import numpy; from pydantic import BaseModel"`. The exit status is 1 where
the ratio is over its limit.
"""

from __future__ import annotations

import compileall
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
LIMIT = 3.0
ROUNDS = 9

FLOOR = ("-c", "import numpy; from pydantic import BaseModel")
CHECK = ("-m", "generator", "check", "examples/lake-deck.yaml")


def seconds(argv: tuple[str, ...]) -> float:
    """Wall time of one Python process."""
    begun = time.perf_counter()
    subprocess.run([sys.executable, *argv], cwd=ROOT, check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - begun


def measure(rounds: int = ROUNDS) -> tuple[float, float]:
    """Best times of floor and check, taken turn by turn so that both meet the same machine."""
    # As installed: pip compiles what it installs, and numpy and pydantic were installed by it.
    compileall.compile_dir(ROOT / "generator", quiet=1)
    pairs = [(seconds(FLOOR), seconds(CHECK)) for _ in range(rounds)]
    return min(floor for floor, _ in pairs), min(check for _, check in pairs)


def main() -> int:
    """Print both times and their ratio."""
    floor, check = measure()
    ratio = check / floor
    print(f"import numpy, pydantic   {floor:.3f} s")
    print(f"check of the demo job    {check:.3f} s")
    print(f"ratio                    {ratio:.2f}, limit {LIMIT:.2f}")
    return int(ratio > LIMIT)


if __name__ == "__main__":
    sys.exit(main())
