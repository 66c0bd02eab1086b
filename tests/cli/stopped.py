"""Run by test_stopped.py in a process of its own: `stringline build` with an output that waits.

python stopped.py JOB TARGET
"""

from __future__ import annotations

import sys
import time
from types import MappingProxyType

import generator.outputs
from generator.cli import main


def wait(product: generator.outputs.Product) -> None:
    (product.folder / "slow.txt").write_text("half")
    print("waiting", flush=True)
    time.sleep(30)


slow = generator.outputs.Output("slow", "slow", (("slow.txt", "a file"),), wait)
generator.outputs.OUTPUTS = MappingProxyType({"slow": slow})
sys.exit(main(["build", sys.argv[1], "-o", sys.argv[2]]))
