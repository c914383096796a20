"""The order of the options: safety first, then what helps, then what it costs."""

from collections.abc import Callable
from dataclasses import replace

from inspections.decisions.records import (
    Option,
    OptionKind,
    Possible,
    SourcedReason,
    sourced,
)
from inspections.decisions.situation import Situation
from inspections.reasons import Code

_ORDER = {kind: place for place, kind in enumerate(OptionKind)}
NO_COST = sourced(Code.NOT_ORDERED_BY_COST)


def ranked(*, situation: Situation, options: tuple[Option, ...]) -> tuple[Option, ...]:
    """Return the options in their order, the first recommended if it can be.

    In this order: answers an open finding where there is one; possible and not
    blocked; leaves nothing open that stops service; not pointless; leaves fewest
    findings open; leaves fewest near limits; cost; least work. An option of which it
    is not known whether it is possible keeps its place, says what to measure, and is
    not recommended before that: a greater work is not advised for want of a reading.
    """
    costed = all(option.cost.is_estimated for option in options if _competes(option))
    ordered = sorted(options, key=_key(situation, costed))
    first = ordered[0]
    unsure = _undecided(first)
    return tuple(
        replace(
            option,
            rank=rank,
            recommended=rank == 1 and _can_be_recommended(option),
            reasons=(
                *option.reasons,
                *(() if costed else (NO_COST,)),
                *(unsure if rank == 1 else ()),
            ),
        )
        for rank, option in enumerate(ordered, start=1)
    )


def _competes(option: Option) -> bool:
    """Return whether an option's cost says anything about the order."""
    return (
        bool(option.addresses)
        and option.kind.is_work
        and option.possible is not Possible.NO
        and not option.is_pointless
    )


def _key(situation: Situation, costed: bool) -> Callable[[Option], tuple[float, ...]]:
    findings = {matter.key for matter in situation.findings}

    def key(option: Option) -> tuple[float, ...]:
        left = set(option.leaves_open)
        cost = option.cost.mid if costed and option.cost.mid is not None else 0.0
        return (
            bool(findings) and not findings & set(option.addresses),
            option.possible is Possible.NO,
            option.leaves_stop_open,
            option.is_pointless,
            len(left & findings),
            len(left - findings),
            cost,
            _ORDER[option.kind],
        )

    return key


def _can_be_recommended(option: Option) -> bool:
    return (
        option.possible is Possible.YES
        and not option.is_pointless
        and not option.leaves_stop_open
    )


def _undecided(first: Option) -> tuple[SourcedReason, ...]:
    """Return that the first option is to be decided only after measuring."""
    if first.possible is not Possible.NOT_KNOWN:
        return ()
    return (sourced(Code.DECIDED_WHEN_KNOWN, items=first.measure_before),)
