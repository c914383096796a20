"""`manage.py import_readings`: bring a heap of readings in from a CSV file."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from fleet.models import Membership
from fleet.platform.choices import Role
from fleet.platform.database import tenancy
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import DomainError
from fleet.platform.queue import tasks
from fleet.register.exchange import dialect
from inspections.exchange import importing
from inspections.exchange.outcome import ReadingFileOutcome
from inspections.intake.accepting import ASSESS


class Command(BaseCommand):
    help = (
        "Bring readings in from a CSV file, each by the upload's own rules: all of "
        "them or nothing; without --store it only looks. The columns are those of "
        "readings.csv, as it goes out, and of the template."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("path", type=Path, metavar="FILE.csv")
        parser.add_argument("--contractor", required=True, metavar="CODE")
        parser.add_argument(
            "--person",
            required=True,
            metavar="USERNAME",
            help="who answers for the readings: someone of the office",
        )
        parser.add_argument("--store", action="store_true", help="store what was read")
        parser.add_argument("--delimiter", default="comma")
        parser.add_argument("--decimal-mark", default="point")
        parser.add_argument("--encoding", default="utf-8")
        parser.add_argument("--dates", default="YYYY-MM-DD")

    def handle(self, *args: Any, **options: Any) -> None:
        sender = Membership.objects.filter(
            contractor__code=options["contractor"],
            person__username=options["person"],
            role=Role.OFFICE,
            deactivated_at=None,
        ).first()
        if sender is None:
            raise CommandError(
                f"There is no {options['person']!r} in the office of contractor "
                f"{options['contractor']!r}."
            )
        try:
            outcome = self._bring_in(sender, options)
        except (DomainError, OSError) as problem:
            raise CommandError(str(problem)) from problem
        self._tell(outcome)
        if outcome.errors:
            raise CommandError("Nothing was stored: mend the rows named above.")
        if not options["store"]:
            self.stdout.write("Only looked; --store stores it.")
            return
        self.stdout.write("Stored." if outcome.stored else "All of it was stored.")

    def _bring_in(
        self, sender: Membership, options: dict[str, Any]
    ) -> ReadingFileOutcome:
        form = dialect.declared(
            delimiter=options["delimiter"],
            decimal_mark=options["decimal_mark"],
            encoding=options["encoding"],
            dates=options["dates"],
        )
        content = options["path"].read_bytes()
        with tenancy.acting_for(contractor_id=sender.contractor_id):
            outcome = importing.bring_in(
                scope=Scope(
                    contractor_id=sender.contractor_id,
                    membership_id=sender.pk,
                    role=sender.role,
                ),
                content=content,
                dialect=form,
                dry_run=not options["store"],
                received_at=timezone.now(),
                most_at_once=settings.UPLOAD_MAX_READINGS,
            )
            tasks.wake_after_commit(job_ids=outcome.job_ids, kind=ASSESS)
        return outcome

    def _tell(self, outcome: ReadingFileOutcome) -> None:
        counted = ", ".join(f"{count} {word}" for word, count in outcome.counts.items())
        self.stdout.write(f"{outcome.rows} rows: {counted or 'no readings'}")
        for notice in outcome.notices:
            said = " ".join(part for part in (notice.warning, notice.stop) if part)
            self.stdout.write(f"row {notice.row}, {notice.outcome}: {said}")
        if outcome.told:
            self.stdout.write(outcome.told)
        for error in outcome.errors:
            self.stderr.write(error.sentence())
