"""What keeps a machine out of service, as every document says it first."""

from dataclasses import dataclass

from reports.content.pieces import Row


@dataclass(frozen=True, slots=True, kw_only=True)
class StandingStop:
    """One cause that stands: what, where, since when, what ends it, who knows."""

    cause: str
    facts: tuple[Row, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OutOfService:
    """A machine that must not run, with every cause; drawn before all else."""

    machine: str
    code: str
    heading: str
    stops: tuple[StandingStop, ...]
