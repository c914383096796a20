"""What the commands that take a contractor's code and write a file have in common."""

from collections.abc import Iterable
from pathlib import Path

from django.core.management.base import CommandError

from fleet.models import Contractor


def contractor_named(code: str) -> Contractor:
    """Return the contractor of this code. Raises CommandError."""
    found = Contractor.objects.filter(code=code).first()
    if found is None:
        raise CommandError(f"There is no contractor {code!r}.")
    return found


def write_new(path: Path, pieces: Iterable[bytes]) -> None:
    """Write a file, never over one that is there: it may be the only copy.

    Raises CommandError where that is not possible.
    """
    try:
        with path.open("xb") as file:
            file.writelines(pieces)
    except OSError as problem:
        raise CommandError(str(problem)) from problem
