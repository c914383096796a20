"""`manage.py set_quotas`: how much of the service one contractor may use."""

from argparse import ArgumentParser, ArgumentTypeError
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from fleet.management.contractor_files import contractor_named
from fleet.models import Contractor
from fleet.register import quotas

NONE = "none"
OPTIONS = {
    "machines": "machines in service",
    "photo_bytes": "bytes of all photos",
    "exports_a_day": "files asked for within a day",
}


class Command(BaseCommand):
    help = (
        "Say how much a contractor may have of machines, photos and files taken out, "
        f"or {NONE} for no limit; without an option, show what is set. Readings and "
        "parts of machines that are there have no quota. What is there stays."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("contractor", metavar="CODE")
        for name, words in OPTIONS.items():
            option = f"--{name.replace('_', '-')}"
            parser.add_argument(option, type=_limit, metavar="N", help=words)

    def handle(self, *, contractor: str, **options: Any) -> None:
        """Set what was named, and show all of it."""
        row = contractor_named(contractor)
        given = {
            column: None if options[name] == NONE else options[name]
            for name, column in quotas.LIMITS.items()
            if options[name] is not None
        }
        if given and row.retired_on is not None:
            raise CommandError(f"Contractor {contractor!r} is retired.")
        if given:
            Contractor.objects.filter(pk=row.pk).update(**given)
            row.refresh_from_db()
        for name, column in quotas.LIMITS.items():
            limit = getattr(row, column)
            said = "no limit" if limit is None else f"at most {limit}"
            self.stdout.write(f"{OPTIONS[name]}: {said}")


def _limit(text: str) -> int | str:
    if text == NONE:
        return NONE
    if text.isascii() and text.isdecimal() and len(text) <= 18:
        return int(text)
    raise ArgumentTypeError(f"{text!r} is neither {NONE} nor a whole number")
