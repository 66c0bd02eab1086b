"""Layout: a job into legs, posts, rows and rail pieces, after the conventions of geometry.md."""

from generator.layout.lay_out import layout

__all__ = ["layout"]
