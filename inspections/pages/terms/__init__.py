"""The contractor's terms: rates, lead times, thresholds and checks of its own."""
