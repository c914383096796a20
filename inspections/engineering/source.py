"""Where a number comes from and how sure that is."""

from dataclasses import dataclass
from enum import StrEnum


class Certainty(StrEnum):
    """How sure a tabulated number is.

    CONFIRMED was read in the document that is named, SECOND_HAND in another text
    that quotes it.
    """

    CONFIRMED = "confirmed"
    SECOND_HAND = "read in a text that quotes it"
    DERIVED = "derived"
    FROM_MEMORY = "from memory, to be confirmed"
    COMMON_PRACTICE = "common practice, no source"
    ENTERED = "entered by the contractor"


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A document with its edition and clause, and how sure the reading of it is."""

    document: str
    edition: str = ""
    clause: str = ""
    certainty: Certainty

    @property
    def text(self) -> str:
        """Return the source as a report prints it."""
        document = f"{self.document}:{self.edition}" if self.edition else self.document
        place = f", {self.clause}" if self.clause else ""
        return f"{document}{place} ({self.certainty})"
