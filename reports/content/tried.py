"""Changes that were tried on paper: apart from what is known of a machine as it is."""

from dataclasses import dataclass

from reports.content.pieces import Row, Table


@dataclass(frozen=True, slots=True, kw_only=True)
class TriedChange:
    """A calculation of a change that was not made, shown by the contractor's choice.

    ``moved_on`` says that the machine is known otherwise by now. The tables have both
    sides, now and then, and both ends of what is open.
    """

    machine: str
    title: str
    about: tuple[Row, ...]
    findings: Table
    figures: Table
    traction: Table | None = None
    dates: Table | None = None
    moved_on: str = ""
