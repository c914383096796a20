"""Violations that are known and not mended yet: each named, none hidden.

A test that meets one is an expected failure under its name. A line is taken away when
the violation is mended.
"""

from dataclasses import dataclass

from tests.histories.promises import Violation


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What a known violation looks like: parts of its promise, change and place."""

    name: str
    promise: str = ""
    change: str = ""
    where: str = ""
    life: str = ""

    def is_like(self, violation: Violation) -> bool:
        return (
            self.promise in violation.promise
            and self.change in violation.change
            and self.where in violation.where
            and self.life in violation.life
        )


KNOWN: tuple[Known, ...] = ()


def name_of(violation: Violation) -> str | None:
    """Return the name of a violation that is known, None for a new one."""
    for each in KNOWN:
        if each.is_like(violation):
            return each.name
    return None
