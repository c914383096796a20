"""`manage.py export_contractor`: take everything of a contractor out as a ZIP file."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from fleet.management import contractor_files
from fleet.platform.database.tenancy import Scope
from fleet.register.exchange import everything, exporting


class Command(BaseCommand):
    help = (
        "Take everything of a contractor out as a ZIP file: register, people, "
        "readings, findings, forecasts, work, reports. Nothing secret is in it."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("out", type=Path, metavar="FILE.zip")
        parser.add_argument("--contractor", required=True, metavar="CODE")
        parser.add_argument(
            "--json-lines", action="store_true", help="JSON lines instead of CSV"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        contractor = contractor_files.contractor_named(options["contractor"])
        pieces = exporting.archive_pieces(
            scope=Scope(contractor_id=contractor.pk),
            outgoing=list(everything.outgoing().values()),
            at=timezone.now(),
            form="jsonl" if options["json_lines"] else "csv",
            notes=everything.notes(),
        )
        contractor_files.write_new(options["out"], pieces)
        self.stdout.write(f"Written to {options['out']}.")
