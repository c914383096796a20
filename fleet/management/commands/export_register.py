"""`manage.py export_register`: take a contractor's register out as a ZIP file."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from fleet.management import contractor_files
from fleet.platform.database.tenancy import Scope
from fleet.register.exchange import exporting
from fleet.register.exchange.register import REGISTER


class Command(BaseCommand):
    help = "Take a contractor's register out as a ZIP file of CSV files."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("out", type=Path, metavar="FILE.zip")
        parser.add_argument("--contractor", required=True, metavar="CODE")

    def handle(self, *args: Any, **options: Any) -> None:
        contractor = contractor_files.contractor_named(options["contractor"])
        pieces = exporting.archive_pieces(
            scope=Scope(contractor_id=contractor.pk),
            outgoing=[exporting.Register(resource=resource) for resource in REGISTER],
            at=timezone.now(),
        )
        contractor_files.write_new(options["out"], pieces)
        self.stdout.write(f"Written to {options['out']}.")
