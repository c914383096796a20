"""What makes a look into the future doubtful."""

from collections.abc import Mapping, Sequence

from inspections.decisions.future.lives import has_date, has_life
from inspections.decisions.future.wearing import WORDS, Group
from inspections.decisions.records import (
    AheadLimit,
    Option,
    OptionKind,
    Possible,
    Reason,
)

ALWAYS = (
    Reason(
        text="parts yet to come are taken to wear at today's rate, with the spread of "
        "a rate that nobody has read"
    ),
    Reason(text="costs are today's, without interest and without a rise of prices"),
)


def of_machine(
    *,
    limits: Mapping[Group, tuple[AheadLimit, ...]],
    options: Sequence[Option],
    ties: Sequence[OptionKind],
) -> tuple[Reason, ...]:
    """Return why a comparison of one machine's options is not sure."""
    found: list[Reason] = []
    for group, of_group in limits.items():
        found += _of_group(group, of_group)
    found += [
        Reason(
            text=f"it is not known whether {option.kind.words} is possible: "
            + "; ".join(option.measure_before)
        )
        for option in options
        if option.possible is Possible.NOT_KNOWN
    ]
    if any(o.kind.is_cut and o.possible is Possible.NOT_KNOWN for o in options):
        found.append(Reason(text="later cuts are taken not to fit"))
    if ties:
        found.append(
            Reason(
                text="cannot be told from the cheapest by cost: "
                + ", ".join(kind.words for kind in ties)
            )
        )
    return (*found, *ALWAYS)


def _of_group(group: Group, limits: tuple[AheadLimit, ...]) -> list[Reason]:
    if not any(has_date(limit) for limit in limits):
        return [
            Reason(text=f"no date of the {WORDS[group]}: their end is in no number")
        ]
    found = []
    if not any(has_life(limit) for limit in limits):
        found.append(
            Reason(
                text=f"no rate of the {WORDS[group]}: what follows their next renewal "
                "is in no number"
            )
        )
    if not any(limit.own for limit in limits):
        found.append(
            Reason(text=f"the {WORDS[group]}'s date rests on other machines alone")
        )
    return found
