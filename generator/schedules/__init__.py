"""Schedules read from the table of parts: cut list, cable list, quantities, as CSV and as text."""
