"""`manage.py prune`: forget what nobody asks for any more."""

from argparse import ArgumentParser
from collections.abc import Callable
from datetime import timedelta
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone
from django.utils.module_loading import import_string

# Phones may be without a network for weeks and then repeat what they sent.
USUAL_DAYS = 30
LEAST_DAYS = 7


class Command(BaseCommand):
    help = (
        "Remove jobs that ended well, sessions that ran out, and the answers kept for "
        "uploads that are repeated. Readings, findings, reports and failed jobs stay."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--older-than-days", type=int, default=USUAL_DAYS)

    def handle(self, *, older_than_days: int, **_: Any) -> None:
        """Remove them and say how many there were of each."""
        if older_than_days < LEAST_DAYS:
            raise CommandError(
                f"--older-than-days is {older_than_days}; it must be at least "
                f"{LEAST_DAYS}"
            )
        before = timezone.now() - timedelta(days=older_than_days)
        for what, name in settings.PRUNED.items():
            forget: Callable[..., int] = import_string(name)
            self.stdout.write(f"{what}: {forget(before=before)}")
