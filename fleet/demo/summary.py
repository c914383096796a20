"""What was found, in plain words, for someone who sees it for the first time."""

from collections.abc import Sequence
from pathlib import Path

from fleet.demo.client import Client


def text(
    *,
    office: Client,
    people: Sequence[dict[str, str]],
    reports: Sequence[Path],
    folder: Path,
    once: bool,
) -> str:
    """Return the summary."""
    return "to come"
