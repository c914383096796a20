"""The sheet of a regroove order."""

from reports.composition.regroove.sheet import regroove_sheet

__all__ = ["regroove_sheet"]
