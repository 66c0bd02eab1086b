"""stringline: cable guards for decks, stairs and ramps, from one text job spec."""

__version__ = "0.1.0"
