"""What wears out on a machine, in three groups that work renews together."""

from enum import IntEnum

from inspections.decisions.records import OptionKind


class EndsTogether(IntEnum):
    """Places that end together: the first of a group to reach its limit ends it."""

    SEATS = 0
    ROPES = 1
    RUNBY = 2


GROUP_OF = {
    "seat_depth": EndsTogether.SEATS,
    "diameter_loss": EndsTogether.ROPES,
    "broken_wires": EndsTogether.ROPES,
    "counterweight_runby": EndsTogether.RUNBY,
}


def groups_renewed(kind: OptionKind) -> tuple[EndsTogether, ...]:
    """Return what begins anew with a kind of work."""
    if kind.renews_grooves:
        return tuple(EndsTogether)
    if kind is OptionKind.RE_ROPE:
        return (EndsTogether.ROPES, EndsTogether.RUNBY)
    return (EndsTogether.RUNBY,) if kind is OptionKind.SHORTEN else ()


def visits_of(kind: OptionKind) -> int:
    """Return how often a kind of work puts the machine out of service; our rule.

    Once for the work, and once more to set the tensions of new ropes again.
    """
    if not kind.is_work:
        return 0
    return 2 if kind.renews_ropes else 1
