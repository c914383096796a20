"""Why a choice or a change is not taken; nothing is stored then."""

from typing import Any

from fleet.platform.errors import Conflict, Unprocessable
from inspections.reasons import Reason


class NotOffered(Conflict):
    """The machine has no such option, or it cannot be chosen as things stand."""

    code = "option-not-offered"

    def __init__(self, *words: str, said: Reason | None = None, **more: Any) -> None:
        super().__init__(*words, **more)
        self.said = said


class NotOpen(Conflict):
    """The planned work is done or dropped already."""

    code = "planned-work-closed"


class NotThisWay(Unprocessable):
    """Planned work does not change like this."""

    code = "not-this-way"

    def __init__(self, *words: str, said: Reason | None = None, **more: Any) -> None:
        super().__init__(*words, **more)
        self.said = said


class TermsRefused(Unprocessable):
    """A rate, lead time or threshold cannot have this value."""

    code = "out-of-range"
