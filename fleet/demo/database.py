"""The demo's own PostgreSQL: started, migrated, with its queue."""

from django.conf import settings
from django.core.management import call_command

from fleet import embedded
from fleet.demo import guard
from fleet.demo.places import DemoPlaces
from fleet.demo.problems import DemoStopped
from fleet.platform.queue import queue_schema


def start(*, places: DemoPlaces) -> bool:
    """Start the server; return whether it was not running yet. Raises DemoStopped."""
    try:
        return guard.server_of(places).start()
    except embedded.EmbeddedDatabaseUnavailable as problem:
        raise DemoStopped(str(problem)) from problem


def prepare(*, places: DemoPlaces) -> None:
    """Make the tables as their owner, and the queue. Raises DemoStopped."""
    call_command("migrate", database="owner", verbosity=0, interactive=False)
    try:
        queue_schema.install_at(
            owner_url=guard.server_of(places).url(role="owner"),
            broker_url=str(settings.CELERY_BROKER_URL),
        )
    except queue_schema.QueueSchemaUnavailable as problem:
        raise DemoStopped(str(problem)) from problem
