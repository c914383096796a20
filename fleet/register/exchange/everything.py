"""All that can be taken out of this server for one contractor, app by app."""

from collections.abc import Iterator
from datetime import datetime
from functools import cache

from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.utils.module_loading import import_string

from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import NotFound
from fleet.register.exchange import exporting
from fleet.register.exchange.contractor_tables import CONTRACTOR_TABLES
from fleet.register.exchange.exporting import HeardParts, Outgoing, Register
from fleet.register.exchange.register import REGISTER

ARCHIVES = ("register.zip", "everything.zip", "everything.jsonl.zip")


@cache
def outgoing() -> dict[str, Outgoing]:
    """Return what goes out, by name, in the order in which it can come in again.

    The apps above name theirs in the setting EXPORTS.
    """
    found: list[Outgoing] = [Register(resource=resource) for resource in REGISTER]
    for named in settings.EXPORTS:
        found += import_string(named)
    found += CONTRACTOR_TABLES
    return {each.name: each for each in found}


def notes() -> dict[str, bytes]:
    """Return what stands beside the rows in an archive of everything, by file name."""
    return {"CAUTIONS.txt": import_string(settings.CAUTIONS)().encode()}


def register() -> dict[str, Outgoing]:
    """Return the register's part of it."""
    names = {resource.name for resource in REGISTER}
    return {name: each for name, each in outgoing().items() if name in names}


def file_names() -> tuple[str, ...]:
    """Return the names of the files that can be had: each table, and archives."""
    tables = (f"{name}.{form}" for name in outgoing() for form in ("csv", "jsonl"))
    return (*tables, *ARCHIVES)


def check_may_take(*, name: str, scope: Scope) -> None:
    """Raise NotFound for a file that is none, PermissionDenied for one out of reach."""
    if name not in file_names():
        raise NotFound
    if name not in ARCHIVES and not outgoing()[name.rpartition(".")[0]].admits(scope):
        raise PermissionDenied


def pieces(
    *, name: str, scope: Scope, at: datetime, tell: HeardParts = exporting.nobody
) -> Iterator[bytes]:
    """Return a file piece by piece; `tell` hears how many tables of it are done.

    Raises NotFound, PermissionDenied.
    """
    check_may_take(name=name, scope=scope)
    stem, _, suffix = name.rpartition(".")
    if suffix != "zip":
        write = exporting.csv_pieces if suffix == "csv" else exporting.json_line_pieces
        return write(scope=scope, outgoing=outgoing()[stem])
    is_register = stem == "register"
    return exporting.archive_pieces(
        scope=scope,
        outgoing=list((register() if is_register else outgoing()).values()),
        at=at,
        form="jsonl" if stem.endswith(".jsonl") else "csv",
        # The register holds no verdict, and comes in again as it went out.
        notes=None if is_register else notes(),
        tell=tell,
    )
