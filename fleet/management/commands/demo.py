"""`manage.py demo`: see the whole job done on an invented portfolio."""

import dataclasses
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from fleet.demo import run
from fleet.demo.defaults import PROJECT_ROOT
from fleet.demo.problems import DemoStopped
from fleet.demo.wishes import Wishes
from fleet.embedded import EmbeddedDatabaseUnavailable

INTERRUPTED = 130


class Command(BaseCommand):
    help = (
        "Show the whole job on an invented portfolio: a database, a web server and "
        "workers of its own, readings sent over HTTP, reports as PDF. Serves until "
        "Ctrl-C."
    )
    # The demo makes the tables itself, after it has started their database.
    requires_system_checks = ()
    requires_migrations_checks = False

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--once",
            action="store_true",
            help="stop when the reports are made, instead of serving",
        )
        parser.add_argument(
            "--out", type=Path, metavar="DIR", help="copy the reports to this folder"
        )
        parser.add_argument(
            "--port", type=int, help="port of the web server (8000 or the next free)"
        )
        parser.add_argument(
            "--fresh", action="store_true", help="begin anew: forget earlier runs"
        )

        parser.add_argument(
            "--fixtures",
            type=Path,
            metavar="DIR",
            default=PROJECT_ROOT / "fixtures" / "demo",
            help="folder of another portfolio.json and uploads.json",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            names = [field.name for field in dataclasses.fields(Wishes)]
            run.run(wishes=Wishes(**{name: options[name] for name in names}))
        except (DemoStopped, EmbeddedDatabaseUnavailable, OSError) as problem:
            raise CommandError(str(problem)) from problem
        except KeyboardInterrupt:
            raise CommandError(
                "Interrupted. The next run goes on from here; --fresh begins anew.",
                returncode=INTERRUPTED,
            ) from None
