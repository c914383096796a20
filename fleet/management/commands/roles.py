"""`manage.py roles`: the psql script that makes the database and its three roles."""

from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import connections
from psycopg import conninfo

from fleet.platform.database import roles
from fleet.platform.queue import broker


class Command(BaseCommand):
    help = (
        "Print the psql script that makes the database and its roles; a superuser of "
        "the server runs it. It can be repeated."
    )
    # Nothing is there yet that could be checked.
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--with-passwords",
            action="store_true",
            help="set the passwords that the configured addresses hold; "
            "the script is then a secret",
        )

        parser.add_argument(
            "--for-restore",
            action="store_true",
            help="leave out the rights that a dump brings with it",
        )

    def handle(self, *, with_passwords: bool, for_restore: bool, **_: Any) -> None:
        """Print it, or say which address does not fit."""
        try:
            script = roles.script(
                database=_database(),
                passwords=_passwords() if with_passwords else None,
                for_restore=for_restore,
            )
        except ValueError as problem:
            raise CommandError(str(problem)) from problem
        self.stdout.write(script, ending="")


def _database() -> str:
    return str(connections["default"].settings_dict["NAME"])


def _passwords() -> dict[str, str]:
    """Return the password of each role; raises CommandError where one is missing."""
    found = {}
    for name, role, (user, password) in _addresses():
        if user != role:
            raise CommandError(f"{name} is of the role {user!r}; it must be {role}.")
        if not password:
            raise CommandError(f"{name} holds no password for {role}.")
        found[role] = password
    return found


def _addresses() -> list[tuple[str, str, tuple[str, str]]]:
    if "owner" not in connections:
        raise CommandError("DATABASE_OWNER_URL is not set; its password is needed.")
    addresses = [
        ("DATABASE_OWNER_URL", roles.OWNER, _of_alias("owner")),
        ("DATABASE_URL", roles.APP, _of_alias("default")),
    ]
    if broker.is_postgresql(str(settings.CELERY_BROKER_URL)):
        queue = conninfo.conninfo_to_dict(
            broker.queue_conninfo(str(settings.CELERY_BROKER_URL))
        )
        given = str(queue.get("user", "")), str(queue.get("password", ""))
        addresses.append(("CELERY_BROKER_URL", roles.QUEUE, given))
    return addresses


def _of_alias(alias: str) -> tuple[str, str]:
    given = connections[alias].settings_dict
    return str(given["USER"]), str(given["PASSWORD"])
