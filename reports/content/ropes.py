"""The order of a rope set: what a supplier needs, and what must be asked first."""

from dataclasses import dataclass

from reports.content.pieces import Masthead, Row, Table
from reports.content.service import Acceptance
from reports.content.wording import Wording


@dataclass(frozen=True, slots=True, kw_only=True)
class RopeOrder:
    """Everything the order says.

    ``headline`` says whether it may be placed, ``because`` why it may not,
    ``not_known`` what neither register nor reading has. ``ropes`` has each rope with
    its grooves and hitches, ``sign`` are the supplier's own lines.
    """

    masthead: Masthead
    wording: Wording
    machine_code: str
    machine_name: str
    may_be_placed: bool
    headline: str
    because: tuple[str, ...]
    not_known: tuple[str, ...]
    description: tuple[Row, ...]
    to_order: Table
    ropes: Table
    before_fitting: Table
    after_fitting: Table | None
    sign: Acceptance
    cautions: tuple[str, ...] = ()
