"""What makes a look into the future doubtful."""

from collections.abc import Mapping, Sequence

from inspections.decisions.future.lives import has_date
from inspections.decisions.future.renewed import has_life
from inspections.decisions.future.wearing import EndsTogether
from inspections.decisions.records import (
    AheadLimit,
    Option,
    OptionKind,
    Possible,
    SourcedReason,
    sourced,
)
from inspections.decisions.records.kind import work_of
from inspections.reasons import Code

ALWAYS = (sourced(Code.WEAR_AS_TODAY), sourced(Code.COSTS_OF_TODAY))
_NO_DATE = {
    EndsTogether.SEATS: Code.GROOVES_NO_DATE,
    EndsTogether.ROPES: Code.ROPES_NO_DATE,
    EndsTogether.RUNBY: Code.RUNBY_NO_DATE,
}
_NO_RATE = {
    EndsTogether.SEATS: Code.GROOVES_NO_RATE,
    EndsTogether.ROPES: Code.ROPES_NO_RATE,
    EndsTogether.RUNBY: Code.RUNBY_NO_RATE,
}
_BY_OTHERS = {
    EndsTogether.SEATS: Code.GROOVES_BY_OTHERS,
    EndsTogether.ROPES: Code.ROPES_BY_OTHERS,
    EndsTogether.RUNBY: Code.RUNBY_BY_OTHERS,
}


def of_machine(
    *,
    limits: Mapping[EndsTogether, tuple[AheadLimit, ...]],
    options: Sequence[Option],
    ties: Sequence[OptionKind],
) -> tuple[SourcedReason, ...]:
    """Return why a comparison of one machine's options is not sure."""
    found: list[SourcedReason] = []
    for group, of_group in limits.items():
        found += _of_group(group, of_group)
    found += [
        sourced(
            Code.POSSIBLE_NOT_KNOWN,
            kind=work_of(option.kind),
            items=option.measure_before,
        )
        for option in options
        if option.possible is Possible.NOT_KNOWN
    ]
    if any(o.kind.is_cut and o.possible is Possible.NOT_KNOWN for o in options):
        found.append(sourced(Code.LATER_CUTS_NOT_TAKEN))
    if ties:
        found.append(sourced(Code.COST_TIES, kinds=tuple(map(work_of, ties))))
    return (*found, *ALWAYS)


def _of_group(
    group: EndsTogether, limits: tuple[AheadLimit, ...]
) -> list[SourcedReason]:
    if not any(has_date(limit) for limit in limits):
        return [sourced(_NO_DATE[group])]
    found = []
    if not any(has_life(limit) for limit in limits):
        found.append(sourced(_NO_RATE[group]))
    if not any(limit.own for limit in limits):
        found.append(sourced(_BY_OTHERS[group]))
    return found
