"""The field sheet: what a technician measures at one machine."""

from dataclasses import dataclass

from reports.content.pieces import Masthead, Row
from reports.content.wording import Wording


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetBox:
    """One box to write into, with the last value and the unit beside it."""

    label: str
    last: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetStep:
    """One thing to measure: what, how, with what, the limit, the boxes."""

    what: str
    how: str
    gauge: str
    time: str
    limit: str
    unit: str
    boxes: tuple[SheetBox, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldSheet:
    """Everything a field sheet says. ``qr_text`` is what the QR code carries."""

    masthead: Masthead
    wording: Wording
    machine_code: str
    machine_name: str
    qr_text: str
    time_budget: str
    description: tuple[Row, ...]
    steps: tuple[SheetStep, ...]
