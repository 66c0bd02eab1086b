"""The results document: what was laid out, found and counted, as JSON for programs."""

from __future__ import annotations

from generator.results.document import results, to_json
from generator.results.models import Results, results_schema

__all__ = ["Results", "results", "results_schema", "to_json"]
