"""Bases of the errors that an activity raises; HTTP is decided in
fleet.platform.api.errors.

Concrete classes stand beside the function that raises them.
"""


class DomainError(Exception):
    """Something the caller asked for that the rules of the service refuse."""

    code = "refused"

    def __init__(self, detail: str = "", *, pointer: str = "") -> None:
        super().__init__(detail or (self.__doc__ or self.code).strip().splitlines()[0])
        self.pointer = pointer

    @property
    def detail(self) -> str:
        return str(self.args[0])


class Unprocessable(DomainError):
    """The request could be read, but its content cannot be taken."""

    code = "unprocessable"


class Conflict(DomainError):
    """The request does not fit what is stored."""

    code = "conflict"


class TooLarge(DomainError):
    """The request is larger than the service takes."""

    code = "too-large"


class NotFound(DomainError):
    """There is no such thing within the caller's reach."""

    code = "not-found"


class Away(DomainError):
    """Something that the service needs does not answer now."""

    code = "away"
