"""Times the clash check against its limits, in one run, and prints what it measured.

    python tests/bench/bench_clash.py [POSTS ...]

10,000 cables against prisms, from parts to distances, take at most 40 ms or 1.3 times the bare
kernel on the same pairs, whichever is larger. All checks of a job of 2,000 posts take at most
1.5 s, and their time grows no worse than n log n. The exit status is 1 where a limit is broken.
"""

from __future__ import annotations

import math
import random
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np

from generator.checks import run
from generator.checks.apart import lower_bounds
from generator.checks.bodies import Bodies, bodies_of
from generator.checks.clashes import check_clashes
from generator.checks.kernel import segment_to_prism
from generator.geometry import EndPlane, lengthwise
from generator.layout import layout
from generator.parts.assembly import Assembly, Part
from generator.parts.build import assemble
from generator.parts.shapes import Prism, Rectangle, Route, Section
from generator.spec import read_job
from generator.spec.job import Level, Turn

ROOT = Path(__file__).resolve().parents[2]
PAIRS = 10_000
KERNEL_S, KERNEL_RATIO = 0.040, 1.3
JOB_POSTS, JOB_S = 2_000, 1.5
SIZES = (200, 2_000)
A_LEG = 100
# Room for what a shared machine does besides.
GROWTH_SLACK = 1.5


def best(work: Callable[[], object], rounds: int = 7) -> float:
    """Seconds of the quickest round."""
    times = []
    for _ in range(rounds):
        begun = time.perf_counter()
        work()
        times.append(time.perf_counter() - begun)
    return min(times)


def pairs_of_bodies() -> tuple[Bodies, np.ndarray, np.ndarray]:
    """Cables and raked tubes scattered about, as bodies, and pairs of one of each."""
    rng = random.Random(1)
    tube = Prism(Section(Rectangle(63.5, 38.1)), EndPlane(0.0, 0.3), EndPlane(900.0, 0.1, 0.2))
    cable = Route(3.0, ((0.0, 0.0, 0.0), (0.0, 0.0, 2000.0)))
    parts = []
    for n in range(200):
        x, y, z = (rng.uniform(-1500, 1500) for _ in range(3))
        place = lengthwise((x, y, z), rng.uniform(0, 360), rng.uniform(-60, 60))
        kind, shape = ("cable", cable) if n < 100 else ("post", tube)
        parts.append(Part(f"X{n}", kind, "", "A", 1, shape, place, f"X{n}"))
    i = np.array([rng.randrange(100) for _ in range(PAIRS)])
    j = np.array([rng.randrange(100, 200) for _ in range(PAIRS)])
    return bodies_of(parts), i, j


def kernel_times() -> tuple[float, float]:
    """Best seconds of the check's own measure and of the bare kernel, turn by turn."""
    bodies, i, j = pairs_of_bodies()
    places = bodies.places.take(j)
    a, b = (places.local(bodies.tips[:, k, i]) for k in (0, 1))
    solids, which = bodies.rough.batches[0], bodies.rough.place[j]
    ours, bare = [], []
    for _ in range(15):
        ours.append(best(lambda: lower_bounds(bodies, i, j), 1))
        bare.append(best(lambda: segment_to_prism(a, b, solids, which), 1))
    return min(ours), min(bare)


def job_assembly(posts: int) -> Assembly:
    """A guard of that many posts, in legs round corners, made of the demo job's parts."""
    job = read_job(ROOT / "examples" / "lake-deck.yaml")
    run_, legs = job.runs[0], []
    bay = job.guard.max_post_spacing_mm - 25.4
    for k in range(max(posts // A_LEG, 1)):
        if k:
            legs.append(Turn(f"runs[0].legs[{len(legs)}]", 90.0 if k % 2 else -90.0, "single"))
        length = bay * min(posts, A_LEG)
        legs.append(Level(f"runs[0].legs[{len(legs)}]", length))
    runs = (replace(run_, legs=tuple(legs)),)
    return assemble(layout(replace(job, runs=runs, structure=None, handrail=None)))


def checked(assembly: Assembly) -> int:
    """How many clashes and measures there are."""
    return sum(1 for _ in check_clashes(assembly))


def main(sizes: Sequence[int] = SIZES) -> int:
    """Print times and their limits."""
    ours, bare = kernel_times()
    limit = max(KERNEL_S, KERNEL_RATIO * bare)
    print(f"{PAIRS} cables and prisms  {ours * 1e3:6.1f} ms, bare kernel {bare * 1e3:.1f} ms, "
          f"ratio {ours / bare:.2f}, limit {limit * 1e3:.0f} ms")  # fmt: skip
    broken = ours > limit
    before: tuple[int, float] | None = None
    for posts in sizes:
        assembly = job_assembly(posts)
        alone = best(partial(checked, assembly), 3)
        whole = best(partial(run, assembly), 3)
        print(f"{posts:6d} posts, {len(assembly.parts):7d} parts  "
              f"clashes {alone:.3f} s, all checks {whole:.3f} s")  # fmt: skip
        if posts == JOB_POSTS:
            broken |= whole > JOB_S
        if before:
            grown = posts * math.log(posts) / (before[0] * math.log(before[0]))
            print(f"       grown {alone / before[1]:.1f} times, n log n {grown:.1f} times")
            broken |= alone / before[1] > GROWTH_SLACK * grown
        before = posts, alone
    return int(broken)


if __name__ == "__main__":
    sys.exit(main([int(size) for size in sys.argv[1:]] or SIZES))
