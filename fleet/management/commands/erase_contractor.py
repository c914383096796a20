"""`manage.py erase_contractor`: everything of a retired contractor is removed."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from fleet.management.contractor_files import contractor_named
from fleet.register.erasing import contractor


class Command(BaseCommand):
    help = (
        "Remove a retired contractor: its rows and history, its files, and the people "
        "that are nobody else's. That it was removed stays. Take everything out first "
        "(export_contractor). --dry-run counts; --yes does it, for good."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("code")
        parser.add_argument("--dry-run", action="store_true", help="only count")
        parser.add_argument("--yes", action="store_true", help="do it, for good")

    def handle(self, *, code: str, dry_run: bool, yes: bool, **_: Any) -> None:
        """Say what is the contractor's, and remove it if told to."""
        chosen = contractor_named(code)
        try:
            found = contractor.belongings(chosen)
        except contractor.NotRetired as error:
            raise CommandError(f"{code!r} is not retired.") from error
        for table, number in found.rows.items():
            self.stdout.write(f"{table}: {number}")
        self.stdout.write(f"people: {len(found.person_ids)}")
        self.stdout.write(f"files: {len(found.files)}")
        if dry_run:
            return
        if not yes:
            raise CommandError("Nothing was removed. --yes does it, for good.")
        contractor.erase(chosen)
        self.stdout.write(f"{code!r} is removed.")
