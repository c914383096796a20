"""The return-to-service record: work done, as left, tested, accepted."""

from dataclasses import dataclass

from reports.content.pieces import Masthead, Row, Table
from reports.content.stops import OutOfService
from reports.content.wording import Wording


@dataclass(frozen=True, slots=True, kw_only=True)
class Acceptance:
    """The inspector's own field: empty lines to sign, or what was recorded."""

    statement: str
    lines: tuple[Row, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReturnToService:
    """Everything a return-to-service record says."""

    masthead: Masthead
    wording: Wording
    machine_code: str
    machine_name: str
    summary: str
    description: tuple[Row, ...]
    work_done: Table
    as_left: Table
    tests_made: Table
    rope_tag: tuple[Row, ...]
    acceptance: Acceptance
    not_ready: str = ""
    out_of_service: tuple[OutOfService, ...] = ()
    required: Table | None = None
