"""Gather what a document says, in the reader's words and units, and freeze it."""

from reports.composition.composing import compose
from reports.composition.masthead import released

__all__ = ["compose", "released"]
