"""Times the calculation of strength of the demo job and of one run of 2,000 posts.

    python tests/bench/bench_strength.py

The exit status is 1 where the demo job, first call and import, takes more than 60 ms of the
processor, or 2,000 posts more than 2 s.
"""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

from generator.layout import layout
from generator.parts.build import assemble
from generator.spec import read_job
from generator.spec.job import Job, Level, Turn
from generator.units import INCH_MM

ROOT = Path(__file__).resolve().parents[2]
DEMO_S, LONG_S = 0.06, 2.0
_SIDE = 100


def long_job(job: Job, posts: int) -> Job:
    """The demo job with one run of that many posts, 6 ft apart, turning right and left."""
    legs: list[Level | Turn] = []
    for k in range(posts // _SIDE):
        if k:
            legs.append(Turn(f"turn {k}", 90.0 if k % 2 else -90.0, "single"))
        legs.append(Level(f"leg {k}", (_SIDE * 6 - 1) * 12 * INCH_MM))
    return replace(job, runs=(replace(job.runs[0], legs=tuple(legs), end="free"),))


def main() -> int:
    """Print both times."""
    job = read_job(ROOT / "examples" / "lake-deck.yaml")
    demo, long = assemble(layout(job)), assemble(layout(long_job(job, 2_000)))
    np.linalg.inv(np.eye(2))  # that the library is loaded does not count
    begun = time.process_time()
    from generator.strength.summary import assess

    assess(demo)
    first = time.process_time() - begun
    begun = time.process_time()
    found = assess(long)
    spent = time.process_time() - begun
    posts = sum(len(m.marks) for m in found.members if m.kind.endswith("post"))
    print(f"demo job, first call    {first * 1000:.0f} ms, limit {DEMO_S * 1000:.0f} ms")
    print(f"{posts} posts              {spent:.2f} s, limit {LONG_S:.2f} s")
    return int(first > DEMO_S or spent > LONG_S)


if __name__ == "__main__":
    sys.exit(main())
