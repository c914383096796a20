"""What the commands that take a contractor's code and write a file have in common."""

import errno
import os
import secrets
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

    Under its name it is whole: until then it has another one, and what was begun is
    taken away again where it cannot be finished. Raises CommandError where a file
    cannot be written.
    """
    part = path.with_name(f".{path.name}.{secrets.token_hex(4)}.part")
    try:
        if path.exists():
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(path))
        with part.open("xb") as file:
            file.writelines(pieces)
            file.flush()
            os.fsync(file.fileno())
        _name(part, path)
    except OSError as problem:
        raise CommandError(str(problem)) from problem
    finally:
        part.unlink(missing_ok=True)


def _name(part: Path, path: Path) -> None:
    """Give a finished file its name, unless another has it by now."""
    try:
        # Unlike a rename it fails where the name is taken.
        path.hardlink_to(part)
    except FileExistsError:
        raise
    except OSError:
        # A file system without hard links.
        part.rename(path)
