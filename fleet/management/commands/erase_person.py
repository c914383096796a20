"""`manage.py erase_person`: names and addresses of someone who left are taken out."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from fleet.models import Person
from fleet.register.erasing import person


class Command(BaseCommand):
    help = (
        "Take out who a person was: names, addresses, devices and second factors, in "
        "rows and in the log of changes. What they did stays. Issued documents and "
        "backups stay as they are. --dry-run counts; --yes does it, for good."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("username")
        parser.add_argument("--dry-run", action="store_true", help="only count")
        parser.add_argument("--yes", action="store_true", help="do it, for good")

    def handle(self, *, username: str, dry_run: bool, yes: bool, **_: Any) -> None:
        """Say what names the person, and take it out if told to."""
        found = Person.objects.filter(username=username).first()
        if found is None:
            raise CommandError(f"Nobody is named {username!r}.")
        try:
            marks = person.marks_of(found)
        except person.StillThere as error:
            raise CommandError(
                f"{username!r} is active at a contractor: let them go first."
            ) from error
        for what, number in person.counts(marks).items():
            self.stdout.write(f"{what}: {number}")
        if dry_run:
            return
        if not yes:
            raise CommandError("Nothing was changed. --yes does it, for good.")
        person.erase(marks)
        self.stdout.write(f"{username!r} is now {marks.replacement!r}.")
