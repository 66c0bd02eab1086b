"""The catalogue: profiles/ read into frozen tables, each value with its source."""
