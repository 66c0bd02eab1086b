"""Times the calculation of strength of the demo job, and of 2,000 posts alike and all unlike.

    python tests/bench/bench_strength.py

The exit status is 1 where the demo job, first call and import, takes more than 60 ms of the
processor, or 2,000 posts more than 2 s: one run of equal bays, or 182 runs like the demo job's of
which no two have a leg of one length or one height.
"""

from __future__ import annotations

import gc
import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

from generator.layout import layout
from generator.parts.build import assemble
from generator.spec import read_job
from generator.spec.job import Job, Level, Stair, Turn
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


def unlike_job(job: Job, runs: int) -> Job:
    """The demo job with its run so many times, each with longer legs and a higher stair."""
    made = []
    for k in range(runs):
        legs = [_longer(leg, k) for leg in job.runs[0].legs]
        start = replace(job.runs[0].start, y_mm=k * 40_000.0, z_mm=job.runs[0].start.z_mm + k)
        made.append(replace(job.runs[0], path=f"runs[{k}]", id=f"R{k}", legs=tuple(legs),
                            start=start))  # fmt: skip
    return replace(job, runs=tuple(made))


def _longer(leg, k: int):
    if isinstance(leg, Level):
        return replace(leg, length_mm=leg.length_mm + 7.3 * k)
    return replace(leg, rise_mm=leg.rise_mm + k) if isinstance(leg, Stair) else leg


def main() -> int:
    """Print all times."""
    gc.set_threshold(200_000, 50, 50)  # as the command does
    job = read_job(ROOT / "examples" / "lake-deck.yaml")
    demo = assemble(layout(job))
    long = {
        "alike": assemble(layout(long_job(job, 2_000))),
        "all unlike": assemble(layout(unlike_job(job, 182))),
    }
    np.linalg.inv(np.eye(2))  # that the library is loaded does not count
    begun = time.process_time()
    from generator.strength.summary import assess

    assess(demo)
    first = time.process_time() - begun
    print(f"demo job, first call      {first * 1000:.0f} ms, limit {DEMO_S * 1000:.0f} ms")
    most = 0.0
    for words, assembly in long.items():
        begun = time.process_time()
        found = assess(assembly)
        spent = time.process_time() - begun
        posts = sum(len(m.marks) for m in found.members if m.kind.endswith("post"))
        kinds = sum(m.kind.endswith("post") for m in found.members)
        print(f"{posts} posts, {words} ({kinds}) {spent:.2f} s, limit {LONG_S:.2f} s")
        most = max(most, spent)
    return int(first > DEMO_S or most > LONG_S)


if __name__ == "__main__":
    sys.exit(main())
