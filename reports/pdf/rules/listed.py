"""The list of rules, in which every rule enters itself with its number."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from reports.pdf.rules.opened import Opened

Check = Callable[[Opened], Iterator[str]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One rule: its number in the specification, and what tells its breaches."""

    number: str
    check: Check


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """A breach: the rule's number and what was found."""

    number: str
    found: str


RULES: list[Rule] = []


def rule(number: str) -> Callable[[Check], Check]:
    """Enter a function as the check of a rule."""

    def entered(check: Check) -> Check:
        RULES.append(Rule(number=number, check=check))
        return check

    return entered
