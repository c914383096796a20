"""The field sheet: what a technician measures at one machine."""

from dataclasses import dataclass

from reports.content.pieces import Masthead, Row
from reports.content.wording import Wording


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetBox:
    """One box to write into, with the last value and the unit beside it.

    ``watch`` says at which values to measure once more.
    """

    label: str
    last: str
    watch: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetStep:
    """One thing to measure: what, how, with what, the limit, the boxes.

    ``why`` says for what reason it is due, ``watch`` what would surprise in any box.
    """

    what: str
    how: str
    gauge: str
    time: str
    limit: str
    unit: str
    boxes: tuple[SheetBox, ...]
    why: str = ""
    watch: str = ""


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
