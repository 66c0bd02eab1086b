"""Checks: the parts table against limits, as measures and findings."""

from generator.checks.all_checks import run_checks as run

__all__ = ["run"]
