"""Calculation sheets: every line of a job's calculation of strength, as a page and on paper."""
