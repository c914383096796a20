"""Gather what a report says, in the reader's words and units, and freeze it."""

from reports.composition.compose import compose

__all__ = ["compose"]
