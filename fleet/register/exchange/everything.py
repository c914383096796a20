"""All that can be taken out of this server for one contractor, app by app."""

from functools import cache

from django.conf import settings
from django.utils.module_loading import import_string

from fleet.register.exchange.contractor_tables import CONTRACTOR_TABLES
from fleet.register.exchange.exporting import Outgoing, Register
from fleet.register.exchange.register import REGISTER


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
