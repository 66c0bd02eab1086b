"""Times the nesting of 60 pieces with proof, and scipy's solver on the same tasks in the same run.

    python tests/bench/bench_nesting.py

scipy gets the arc-flow programme of the same task (a bar as a path over whole millimetres), but not
of the triplets, whose optimum is known by how they are made and for which it takes minutes. Times
are those of the processor; printed is the worst, and the ratio where both ran. The exit status is 1
where a task is not proven or takes more than 2 s, or where an optimum is missed. Last come pieces
of any length from three bars at odd costs, which have to keep to the time as well, but of which
some keep a gap; it is printed.
"""

from __future__ import annotations

import importlib.util
import random
import sys
import time
from pathlib import Path
from types import ModuleType

from generator.nesting import Kind, Rules, nest, straight

LIMIT_S = 2.0
PIECES = 60
ODD = [Kind(3000.0, 31.5), Kind(4500.0, 44.1), Kind(6000.0, 60.35)]
WORKBENCH = Path(__file__).resolve().parents[1] / "nesting" / "workbench.py"


def workbench() -> ModuleType:
    """The made-up tasks of the tests."""
    spec = importlib.util.spec_from_file_location("workbench", WORKBENCH)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def main() -> int:
    """Print the time of each task and the ratio."""
    made = workbench()
    tasks = [(f"triplets {s}", made.triplets(PIECES, s), 1000) for s in range(3)]
    tasks += [(f"uniform {s}", made.uniform(PIECES, s), 150) for s in range(4)]
    nest([straight(1.0)], [Kind(2.0, 1.0)], Rules())
    worst, own, other, failed = 0.0, 0.0, 0.0, False
    for name, pieces, bar in tasks:
        begun = time.process_time()
        plan = nest([straight(piece) for piece in pieces], [Kind(float(bar), 1.0)], Rules())
        spent = time.process_time() - begun
        worst = max(worst, spent)
        told, best = "known optimum", PIECES // 3
        if not name.startswith("triplets"):
            begun = time.process_time()
            best = made.by_arc_flow([int(piece) for piece in pieces], bar)
            taken = time.process_time() - begun
            own, other = own + spent, other + taken
            told = f"scipy {taken:.2f} s"
        failed |= not plan.proven or best != len(plan.bars)
        proof = "proven" if plan.proven else "NOT PROVEN"
        print(f"{name:<12} {len(plan.bars)} bars, {proof}, {spent:.2f} s; {told}: {best} bars")
    for seed in range(6):
        chance = random.Random(seed)
        lines = [straight(chance.uniform(200, 2400)) for _ in range(PIECES)]
        begun = time.process_time()
        plan = nest(lines, ODD, Rules(3.0, 10.0))
        spent = time.process_time() - begun
        worst = max(worst, spent)
        told = "proven" if plan.proven else f"gap {100 * plan.gap:.2f} %"
        print(f"odd costs {seed}  {len(plan.bars)} bars, {told}, {spent:.2f} s")
    print(
        f"worst {worst:.2f} s, limit {LIMIT_S:.0f} s; scipy takes {other / own:.1f} times as long"
    )
    return int(failed or worst > LIMIT_S)


if __name__ == "__main__":
    sys.exit(main())
