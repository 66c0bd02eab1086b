"""What the YAML parser says of a malformed file, in words that a person can act on."""

from __future__ import annotations

_SYNTAX = (
    ("mapping values are not allowed", "a second colon in one line, or a key indented too far"),
    ("could not find expected ':'", "a line that has no colon after its key"),
    ("',' or ']'", "a list in [ ] that is not closed or lacks a comma"),
    ("',' or '}'", "a mapping in { } that is not closed or lacks a comma"),
    ("unexpected end of stream", "a quote that is never closed"),
    ("cannot start any token", "a sign that cannot begin a value without quotes"),
    ("maximum nesting", "brackets nested too deep"),
    ("node content", "a value that is missing"),
    ("unknown escape", "a backslash inside double quotes"),
    ("expected <block end>", "a line whose indent does not fit the lines above"),
    ("did not find expected key", "a line whose indent does not fit the lines above"),
    ("did not find expected '-' indicator", "a line whose indent does not fit the list above"),
)


def in_words(told: str) -> str:
    """What the text holds that the parser does not take; as the parser tells it where not known."""
    return next((words for part, words in _SYNTAX if part in told), told)
