"""What is often not known of a machine, and between what it plausibly lies."""

from inspections.engineering.unknowns.catalogue import ALL, find
from inspections.engineering.unknowns.unknown import Unknown, axis_of

__all__ = ["ALL", "Unknown", "axis_of", "find"]
