"""Why one reading could not be taken, in words that name the field."""

from dataclasses import dataclass

from fleet.platform.errors import DomainError


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """What is wrong with one reading; `pointer` leads to the field."""

    pointer: str
    code: str
    detail: str

    def as_json(self) -> dict[str, str]:
        return {"pointer": self.pointer, "code": self.code, "detail": self.detail}


class RefusedReading(DomainError):
    """The reading cannot be taken as it stands."""

    code = "refused"

    def __init__(self, detail: str, *, pointer: str, code: str = "invalid") -> None:
        super().__init__(detail, pointer=pointer)
        self.code = code

    def as_problem(self) -> Problem:
        return Problem(pointer=self.pointer, code=self.code, detail=self.detail)
