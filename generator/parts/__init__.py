"""Layout into parts: every piece of the guard as an analytic shape with an exact place."""
