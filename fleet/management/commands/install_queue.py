"""`manage.py install_queue`: what the broker needs before the first worker starts."""

from typing import Any

import psycopg
from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError, connections
from kombu.exceptions import OperationalError as BrokerAway

from fleet.platform.queue import broker, dead_letters, queue_schema

IN_THE_WAY = (
    BrokerAway,
    DatabaseError,
    OSError,
    psycopg.Error,
    queue_schema.QueueSchemaUnavailable,
)


class Command(BaseCommand):
    help = (
        "Make what the broker of CELERY_BROKER_URL needs: its schema in PostgreSQL, "
        "of this version's form, or RabbitMQ's queue of dead letters. Redis needs "
        "nothing. It can be repeated."
    )

    def handle(self, **_: Any) -> None:
        """Make it and say what was done, or what is in the way."""
        url = str(settings.CELERY_BROKER_URL)
        try:
            self.stdout.write(_install(url))
        except IN_THE_WAY as problem:
            raise CommandError(str(problem) or type(problem).__name__) from problem


def _install(url: str) -> str:
    if broker.is_rabbitmq(url):
        dead_letters.install(broker_url=url)
        return f"The queue {dead_letters.QUEUE} is there."
    if not broker.is_postgresql(url):
        return "Nothing to do: this broker needs nothing."
    changed = _install_schema(broker.queue_conninfo(url))
    return "Installed." if changed else "It was installed already."


def _install_schema(conninfo: str) -> bool:
    if "owner" not in connections:
        raise CommandError("DATABASE_OWNER_URL is not set; the queue needs it")
    connections["owner"].ensure_connection()
    with psycopg.connect(conninfo, autocommit=True) as queue:
        return queue_schema.install(owner=connections["owner"].connection, queue=queue)
