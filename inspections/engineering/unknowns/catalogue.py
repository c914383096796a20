"""The table of unknowns: typical value, plausible range and source of each."""

from collections.abc import Mapping

from inspections.engineering.unknowns.of_grooves import OF_GROOVES
from inspections.engineering.unknowns.of_machines import OF_MACHINES
from inspections.engineering.unknowns.of_ropes import OF_ROPES
from inspections.engineering.unknowns.unknown import Unknown

ALL: tuple[Unknown, ...] = (*OF_GROOVES, *OF_MACHINES, *OF_ROPES)

_BY_NAME: Mapping[str, Unknown] = {each.name: each for each in ALL}


def find(*, name: str) -> Unknown:
    """Return one row of the table by its name.

    Parameters
    ----------
    name : name of the value, with its unit

    Raises KeyError for a name that has no row.

    Source: own bookkeeping; the row carries its own.

    >>> find(name="cast_runout_mm").high
    3.0
    """
    return _BY_NAME[name]
