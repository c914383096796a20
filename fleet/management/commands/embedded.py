"""`manage.py embedded start|stop|status`: the embedded database by hand."""

from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from fleet import embedded


class Command(BaseCommand):
    """Start, stop or look at the embedded PostgreSQL."""

    help = "Start, stop or look at the embedded PostgreSQL of this project."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the one word that says what to do."""
        parser.add_argument("action", choices=("start", "stop", "status"))

    def handle(self, *, action: str, **_: Any) -> None:
        """Do it and say what is so now; status fails when nothing answers."""
        server = embedded.configured(project_root=settings.BASE_DIR)
        try:
            self.stdout.write(f"{self._do(action, server)} ({server.directory})")
        except embedded.EmbeddedDatabaseUnavailable as problem:
            raise CommandError(str(problem)) from problem

    def _do(self, action: str, server: embedded.Server) -> str:
        if action == "start":
            return "Started." if server.start() else "It was running already."
        if action == "stop":
            return "Stopped." if server.stop() else "It was not running."
        if not server.is_answering():
            raise CommandError(f"It does not answer ({server.directory}).")
        return "It answers."
