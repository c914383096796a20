"""`manage.py health`: may this process work? For those that answer on no port."""

from collections.abc import Callable
from typing import Any

import psycopg
from celery import current_app
from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import connection

from fleet.platform.queue import broker, heartbeat, mail_hold

BROKER_WAIT_S = 3


class Command(BaseCommand):
    help = (
        "Ask the database and the broker for an answer, and look whether the worker "
        "or beat of HEARTBEAT_FILE was at work within the last minute. Fails if one "
        "of them is not well."
    )
    requires_system_checks = ()

    def handle(self, **_: Any) -> None:
        """Say of each what it is, and fail if one of them is not well."""
        checks: dict[str, Callable[[], str]] = {
            "database": _database,
            "broker": _broker,
        }
        if settings.HEARTBEAT_FILE:
            checks["heartbeat"] = _heartbeat
        ill = {name: found for name, check in checks.items() if (found := check())}
        for name in checks:
            self.stdout.write(f"{name}: {ill.get(name, 'well')}")
        if "database" not in ill and mail_hold.is_held():
            # No fault of this process: a restart would mend nothing.
            self.stdout.write("mails: held until `manage.py release_mails`")
        if ill:
            raise CommandError(f"not well: {', '.join(ill)}")


def _database() -> str:
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    # Whatever it is, the others are looked at too.
    except Exception as problem:
        return f"does not answer ({type(problem).__name__})"
    return ""


def _broker() -> str:
    url = str(settings.CELERY_BROKER_URL)
    try:
        if broker.is_postgresql(url):
            # Kombu's transport asks its server only when there is something to do.
            psycopg.connect(
                broker.queue_conninfo(url), connect_timeout=BROKER_WAIT_S
            ).close()
            return ""
        with current_app.connection_for_write() as opened:
            opened.ensure_connection(max_retries=1, timeout=BROKER_WAIT_S)
    except Exception as problem:
        return f"does not answer ({type(problem).__name__})"
    return ""


def _heartbeat() -> str:
    age_s = heartbeat.age_s()
    if age_s is None:
        return "none yet"
    if age_s > heartbeat.OLDEST_S:
        return f"{age_s:.0f} s old; it may be {heartbeat.OLDEST_S:.0f}"
    return ""
