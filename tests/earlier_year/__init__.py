"""A year of the demo's history from an earlier version, upgraded and judged anew."""
