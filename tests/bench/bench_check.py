"""Times `stringline check` of the demo job against its floor, in one run, and prints the ratio.

    python tests/bench/bench_check.py

The floor is `python -c "import numpy; from pydantic import BaseModel"`. A check, strength and
all, takes at most three times as long, and strength adds at most 60 ms to it; the exit status is 1
where either is not so.
"""

from __future__ import annotations

import compileall
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
LIMIT = 3.0
STRENGTH_S = 0.060
ROUNDS = 9

FLOOR = ("-c", "import numpy; from pydantic import BaseModel")
CHECK = ("-m", "generator", "check", "examples/lake-deck.yaml")
BARE = (*CHECK, "--no-strength")


def seconds(argv: tuple[str, ...]) -> float:
    """Wall time of one Python process."""
    begun = time.perf_counter()
    subprocess.run([sys.executable, *argv], cwd=ROOT, check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - begun


def measure(rounds: int = ROUNDS) -> tuple[float, float, float]:
    """Best times of floor, check without and with strength, turn by turn on the same machine."""
    # As installed: pip compiles what it installs, and numpy and pydantic were installed by it.
    compileall.compile_dir(ROOT / "generator", quiet=1)
    times = [(seconds(FLOOR), seconds(BARE), seconds(CHECK)) for _ in range(rounds)]
    floor, bare, check = (min(column) for column in zip(*times, strict=True))
    return floor, bare, check


def main() -> int:
    """Print the times and the ratio."""
    floor, bare, check = measure()
    ratio, added = check / floor, check - bare
    print(f"import numpy, pydantic    {floor:.3f} s")
    print(f"check without strength    {bare:.3f} s")
    print(f"check                     {check:.3f} s")
    print(f"strength adds             {added:.3f} s, limit {STRENGTH_S:.3f} s")
    print(f"ratio                     {ratio:.2f}, limit {LIMIT:.2f}")
    return int(ratio > LIMIT or added > STRENGTH_S)


if __name__ == "__main__":
    sys.exit(main())
