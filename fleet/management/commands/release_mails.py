"""`manage.py release_mails`: a restored service may send mails again."""

import getpass
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand
from django.utils import timezone

from fleet.platform.queue import mail_hold


class Command(BaseCommand):
    help = (
        "Let mails go out again after a restore, those that wait first. What was "
        "mailed after the backup was made waits too and is sent a second time, under "
        "the same Message-ID; --drop-waiting ends all that wait unsent instead."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--drop-waiting",
            action="store_true",
            help="send none of those that wait; tell the people concerned yourself",
        )
        parser.add_argument("--dry-run", action="store_true", help="only look")

    def handle(self, *, drop_waiting: bool, dry_run: bool, **_: Any) -> None:
        """Say what waits, and let it go or drop it."""
        for name, count in mail_hold.waiting().items():
            self.stdout.write(f"{name}: {count} waiting")
        if dry_run:
            state = "held" if mail_hold.is_held() else "not held"
            self.stdout.write(f"Mails are {state}; nothing was changed.")
            return
        now = timezone.now()
        if drop_waiting:
            mail_hold.drop_waiting(kinds=settings.MAIL_JOBS, now=now)
        mail_hold.release(kinds=settings.MAIL_JOBS, by=getpass.getuser(), now=now)
        done = "were dropped; later ones are sent" if drop_waiting else "are sent now"
        self.stdout.write(f"Mails that waited {done}.")
