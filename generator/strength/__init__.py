"""Strength: an assembly into demands, capacities and the steps of their calculation."""
