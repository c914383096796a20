"""What is missing or meant, of kernels, in the reader's language."""

from inspections import wording
from inspections.engineering.verdict import Item
from inspections.reasons import Reason


def said(item: Item) -> str:
    """Return a term or a reason in words."""
    return wording.say(item) if isinstance(item, Reason) else wording.name(item)
