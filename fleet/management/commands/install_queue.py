"""`manage.py install_queue`: what the broker needs before the first worker starts."""

from typing import Any

import psycopg
from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError, connections

from fleet import broker, queue_schema


class Command(BaseCommand):
    help = (
        "Make the queue that CELERY_BROKER_URL names in PostgreSQL, or replace its "
        "schema by this version's. Other brokers need nothing. It can be repeated."
    )

    def handle(self, **_: Any) -> None:
        """Make it and say what was done, or what is in the way."""
        if not broker.is_postgresql(str(settings.CELERY_BROKER_URL)):
            self.stdout.write("Nothing to do: the broker is not PostgreSQL.")
            return
        if "owner" not in connections:
            raise CommandError("DATABASE_OWNER_URL is not set; the queue needs it")
        try:
            changed = _install()
        except (
            queue_schema.QueueSchemaUnavailable,
            DatabaseError,
            psycopg.Error,
        ) as problem:
            raise CommandError(str(problem)) from problem
        self.stdout.write("Installed." if changed else "It was installed already.")


def _install() -> bool:
    conninfo = broker.queue_conninfo(str(settings.CELERY_BROKER_URL))
    connections["owner"].ensure_connection()
    with psycopg.connect(conninfo, autocommit=True) as queue:
        return queue_schema.install(owner=connections["owner"].connection, queue=queue)
