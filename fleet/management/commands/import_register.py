"""`manage.py import_register`: bring the register in from CSV files."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from fleet.management import contractor_files
from fleet.models import Contractor
from fleet.platform.database import tenancy
from fleet.platform.errors import DomainError
from fleet.platform.queue import tasks
from fleet.register.exchange import dialect, folders, importing
from fleet.register.exchange.outcome import FileOutcome


class Command(BaseCommand):
    help = (
        "Bring the register in from CSV files named like machines.csv, from a folder "
        "or a ZIP file of them. All files or nothing; without --store it only looks."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("paths", nargs="+", type=Path, metavar="PATH")
        parser.add_argument("--contractor", required=True, metavar="CODE")
        parser.add_argument("--store", action="store_true", help="store what was read")
        parser.add_argument("--delimiter", default="comma")
        parser.add_argument("--decimal-mark", default="point")
        parser.add_argument("--encoding", default="utf-8")
        parser.add_argument("--dates", default="YYYY-MM-DD")

    def handle(self, *args: Any, **options: Any) -> None:
        contractor = contractor_files.contractor_named(options["contractor"])
        try:
            outcomes = self._bring_in(contractor, options)
        except (DomainError, OSError) as problem:
            raise CommandError(str(problem)) from problem
        for outcome in outcomes:
            self._tell(outcome)
        if any(outcome.errors for outcome in outcomes):
            raise CommandError("Nothing was stored: mend the rows named above.")
        self.stdout.write(
            "Stored." if options["store"] else "Only looked; --store stores it."
        )

    def _bring_in(
        self, contractor: Contractor, options: dict[str, Any]
    ) -> list[FileOutcome]:
        form = dialect.declared(
            delimiter=options["delimiter"],
            decimal_mark=options["decimal_mark"],
            encoding=options["encoding"],
            dates=options["dates"],
        )
        kind = settings.REGISTER_CHANGE_JOB
        with tenancy.acting_for(
            contractor_id=contractor.pk, via="manage.py import_register"
        ) as scope:
            outcomes = importing.bring_in(
                scope=scope,
                files=folders.read_files(paths=options["paths"]),
                dialect=form,
                dry_run=not options["store"],
            )
            ids = importing.reassess(
                scope=scope, outcomes=outcomes, kind=kind, now=timezone.now()
            )
            tasks.wake_after_commit(job_ids=ids, kind=kind)
        return outcomes

    def _tell(self, outcome: FileOutcome) -> None:
        self.stdout.write(
            f"{outcome.resource}: {outcome.rows} rows, {outcome.created} created, "
            f"{outcome.changed} changed, {outcome.unchanged} unchanged"
        )
        for error in outcome.errors:
            self.stderr.write(f"{outcome.resource}, {error.sentence()}")
