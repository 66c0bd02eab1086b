"""Times the layout of one run of 20 to 20,000 posts and how it grows, in one run.

    python tests/bench/bench_layout.py

The floor is n log n from the time of 200 posts, so that start-up counts little. The exit status is
1 where 2,000 posts take longer than 0.2 s or the growth is more than twice that floor.
"""

from __future__ import annotations

import math
import sys
import time
from dataclasses import replace
from pathlib import Path

from generator.layout import layout
from generator.spec import read_job
from generator.spec.job import Job, Level, Turn
from generator.units import INCH_MM

ROOT = Path(__file__).resolve().parents[2]
SIZES = (20, 200, 2_000, 20_000)
LIMIT_S = 0.2
LIMIT_GROWTH = 2.0
# Posts on one side of the deck before the path turns.
_SIDE = 100


def zigzag(job: Job, posts: int) -> Job:
    """The demo job with one run of that many posts, 6 ft apart, turning right and left."""
    side = min(posts, _SIDE)
    legs: list[Level | Turn] = []
    for k in range(max(posts // _SIDE, 1)):
        if k:
            legs.append(Turn(f"turn {k}", 90.0 if k % 2 else -90.0, "single"))
        legs.append(Level(f"leg {k}", (side * 6 - 1) * 12 * INCH_MM))
    run = replace(job.runs[0], legs=tuple(legs), end="free")
    return replace(job, runs=(run,))


def seconds(job: Job, rounds: int = 3) -> tuple[float, int]:
    """Best time of a layout, and how many posts it has."""
    best, count = math.inf, 0
    for _ in range(rounds):
        begun = time.perf_counter()
        count = len(layout(job).posts)
        best = min(best, time.perf_counter() - begun)
    return best, count


def main() -> int:
    """Print time and growth of each size."""
    job = read_job(ROOT / "examples" / "lake-deck.yaml")
    times = {size: seconds(zigzag(job, size)) for size in SIZES}
    base, count = times[200]
    floor = base / (count * math.log(count))
    worst = 0.0
    for size, (spent, posts) in times.items():
        growth = spent / (floor * posts * math.log(posts))
        worst = max(worst, growth if size >= 200 else 0.0)
        print(f"layout of {posts:>6} posts  {spent:.4f} s   {growth:.2f} of n log n")
    print(f"2,000 posts: {times[2_000][0] / LIMIT_S:.2f} of the limit of {LIMIT_S} s")
    return int(times[2_000][0] > LIMIT_S or worst > LIMIT_GROWTH)


if __name__ == "__main__":
    sys.exit(main())
