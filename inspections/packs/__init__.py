"""What a phone takes along into a cellar: machines, what to measure, and the bands."""

from inspections.packs.choosing import choices
from inspections.packs.making import MOST_MACHINES, VERSION, Pack, make
from inspections.packs.wanting import wanted, wanted_photos

__all__ = [
    "MOST_MACHINES",
    "VERSION",
    "Pack",
    "choices",
    "make",
    "wanted",
    "wanted_photos",
]
