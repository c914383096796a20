"""What the caller wants of the demo."""

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True)
class Wishes:
    """The options of one run."""

    once: bool
    out: Path | None
    port: int | None
    fresh: bool
    fixtures: Path
