"""`manage.py export_register`: take a contractor's register out as a ZIP file."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from fleet.exchange import exporting
from fleet.exchange.register import REGISTER
from fleet.models import Contractor
from fleet.tenancy import Scope


class Command(BaseCommand):
    help = "Take a contractor's register out as a ZIP file of CSV files."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("out", type=Path, metavar="FILE.zip")
        parser.add_argument("--contractor", required=True, metavar="CODE")

    def handle(self, *args: Any, **options: Any) -> None:
        contractor = Contractor.objects.filter(code=options["contractor"]).first()
        if contractor is None:
            raise CommandError(f"There is no contractor {options['contractor']!r}.")
        pieces = exporting.archive_pieces(
            scope=Scope(contractor_id=contractor.pk),
            outgoing=[exporting.Register(resource=resource) for resource in REGISTER],
            at=timezone.now(),
        )
        try:
            # Never over a file that is there: it may be the only copy.
            with options["out"].open("xb") as file:
                file.writelines(pieces)
        except OSError as problem:
            raise CommandError(str(problem)) from problem
        self.stdout.write(f"Written to {options['out']}.")
