"""A night of many contractors: what a machine takes as it grows, by one and by two."""
