"""The parts table as solids: one STEP file, each distinct part modelled once and placed."""

from __future__ import annotations

from generator.solids.step import write_step

__all__ = ["write_step"]
