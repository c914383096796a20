"""By which version of the rules each result was worked out, as numbers in order."""

from collections.abc import Iterable

from fleet.platform.errors import DomainError
from inspections.versions import raised
from inspections.versions.values import constants, fingerprint

__all__ = [
    "DECIDING",
    "FORECASTING",
    "JUDGING",
    "REPORTING",
    "SERIES",
    "NewerRules",
    "constants",
    "fingerprint",
    "give_way",
    "is_older",
]

# The versions up to the first line that says why.
JUDGING = 5 + len(raised.JUDGING)
FORECASTING = 3 + len(raised.FORECASTING)
DECIDING = 1 + len(raised.DECIDING)
REPORTING = 3 + len(raised.REPORTING)
# Series rest on the rules that make them and on those that read the register.
SERIES = f"{FORECASTING}.{JUDGING}"


class NewerRules(DomainError):
    """A result of newer rules stands, which these must not replace."""

    code = "newer-rules"


def is_older(*, version: str, than: str) -> bool:
    """Tell whether a version is behind a stored one in any of its numbers."""
    mine, theirs = _numbers(version), _numbers(than)
    wide = max(len(mine), len(theirs))
    padded = [each + (0,) * (wide - len(each)) for each in (mine, theirs)]
    return any(own < other for own, other in zip(*padded, strict=True))


def give_way(*, mine: str, stored: Iterable[str]) -> None:
    """Let newer results stand. Raises NewerRules where a version is behind one of them.

    A worker of the newer version does the job when it is tried again.
    """
    for than in stored:
        if is_older(version=mine, than=than):
            raise NewerRules(f"version {than} stands; version {mine} must not follow")


def _numbers(version: str) -> tuple[int, ...]:
    """Return the numbers of a version; what is none counts as zero."""
    parts = version.split(".")
    return tuple(int(part) if part.isdecimal() else 0 for part in parts)
