"""The order sheet for a shop that turns the grooves of a sheave."""

from dataclasses import dataclass

from reports.content.charts import GrooveSection
from reports.content.pieces import Masthead, Row, Table
from reports.content.service import Acceptance
from reports.content.template import Template
from reports.content.wording import Wording


@dataclass(frozen=True, slots=True, kw_only=True)
class RegrooveSheet:
    """Everything the sheet says: what to turn, what must stay, what to measure.

    ``headline`` says whether the order may be placed, ``because`` why it may not;
    ``not_known`` names what neither register nor reading has. ``section`` is a
    groove as it is to be turned, ``template`` the same at true size; None where the
    shape is not known. ``sign`` are the shop's own lines, ``cautions`` stand beside
    the order.
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
    cut: Table
    grooves: Table
    section: GrooveSection | None
    before_turning: Table
    after_turning: Table
    sign: Acceptance
    cautions: tuple[str, ...] = ()
    template: Template | None = None
