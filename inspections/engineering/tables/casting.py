"""Pattern draft of castings, by height of draw."""

from dataclasses import dataclass
from enum import StrEnum

from inspections.engineering.source import Certainty, Source


class Pattern(StrEnum):
    """What the pattern was made of."""

    WOOD = "wood"
    METAL = "metal"


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftRow:
    """Draft up to a height of draw, on outside and inside surfaces."""

    up_to_in: float
    outside_deg: float
    inside_deg: float


DRAFT_SOURCE = Source(
    document="NPTEL, metal casting, lecture 4",
    clause="table 2",
    certainty=Certainty.CONFIRMED,
)
DRAFT = {
    Pattern.WOOD: (
        DraftRow(up_to_in=1, outside_deg=3.0, inside_deg=3.0),
        DraftRow(up_to_in=2, outside_deg=1.5, inside_deg=2.5),
        DraftRow(up_to_in=4, outside_deg=1.0, inside_deg=1.5),
        DraftRow(up_to_in=8, outside_deg=0.75, inside_deg=1.0),
        DraftRow(up_to_in=32, outside_deg=0.5, inside_deg=1.0),
    ),
    Pattern.METAL: (
        DraftRow(up_to_in=1, outside_deg=1.5, inside_deg=3.0),
        DraftRow(up_to_in=2, outside_deg=1.0, inside_deg=2.0),
        DraftRow(up_to_in=4, outside_deg=0.75, inside_deg=1.0),
        DraftRow(up_to_in=8, outside_deg=0.5, inside_deg=1.0),
        DraftRow(up_to_in=32, outside_deg=0.5, inside_deg=0.75),
    ),
}
