"""A register that comes in by files, beside COPY, and the plans of what it is asked."""
