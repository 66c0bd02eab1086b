"""Layout: a job into legs, posts, rows, rail pieces, after geometry.md."""
