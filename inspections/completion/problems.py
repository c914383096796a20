"""Why work could not be taken as reported; nothing is stored then."""

from fleet.platform.errors import Conflict, Unprocessable


class NotTaken(Unprocessable):
    """The report cannot be taken as it stands."""

    def __init__(self, detail: str, *, pointer: str, code: str) -> None:
        super().__init__(detail, pointer=pointer)
        self.code = code


class WorkConflict(Conflict):
    """The report does not fit what the register holds for that day."""

    def __init__(self, detail: str, *, pointer: str, code: str) -> None:
        super().__init__(detail, pointer=pointer)
        self.code = code
