"""Why a change is not tried; nothing is worked out then."""

from typing import Any

from fleet.platform.errors import Conflict, DomainError, Unprocessable
from inspections.reasons import Reason


class _Sayable(DomainError):
    """A refusal that can be said in a reader's language.

    `words` is a text of the catalogue with the `values` that stand in it, names of
    items among them; `said` is a reason of the kernel instead. The detail is English
    and names items as the API does.
    """

    def __init__(
        self,
        words: str,
        *,
        pointer: str = "",
        said: Reason | None = None,
        **values: Any,
    ) -> None:
        super().__init__(words % values if values else words, pointer=pointer)
        self.words, self.values, self.said = words, values, said


class NotTried(_Sayable, Unprocessable):
    """The change is not one of the list, or lies outside what the physics holds for."""

    code = "out-of-range"


class NotKnownEnough(_Sayable, Conflict):
    """What the change starts from is not known of the machine."""

    code = "not-known-enough"


class NameTaken(Conflict):
    """The machine has a scenario of that name."""

    code = "name-taken"


class TooMany(Conflict):
    """The machine has as many scenarios as are kept: none is worked out for keeping."""

    code = "too-many"
