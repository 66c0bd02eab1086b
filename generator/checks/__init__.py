"""Checks: the parts table against limits, as measures and findings."""
