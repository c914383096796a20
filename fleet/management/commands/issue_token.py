"""`manage.py issue_token`: a key for one person's device, shown once."""

from argparse import ArgumentParser
from datetime import timedelta
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from fleet.models import Membership
from fleet.platform.access import tokens
from fleet.platform.choices import TokenScope


class Command(BaseCommand):
    help = (
        "Make a key for a device of one person and print it, alone on its line. Only "
        "its digest is stored: it cannot be shown again."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("username")
        parser.add_argument("--contractor", required=True, metavar="CODE")
        parser.add_argument("--device", required=True, help="name of the device")
        parser.add_argument(
            "--scopes",
            required=True,
            nargs="+",
            # A phone's comes by pairing alone.
            choices=[use for use in TokenScope.values if use != TokenScope.FIELD],
        )
        parser.add_argument(
            "--days", type=int, default=tokens.LIFETIME.days, help="how long it is good"
        )

    def handle(self, **options: Any) -> None:
        """Print the key, or say why there is none."""
        if not 1 <= options["days"] <= tokens.LIFETIME.days:
            raise CommandError(
                f"--days is {options['days']}; it must be from 1 to "
                f"{tokens.LIFETIME.days}"
            )
        self.stdout.write(
            tokens.issue(
                membership=_membership(options["username"], options["contractor"]),
                device=options["device"],
                scopes=sorted(set(options["scopes"])),
                issued_at=timezone.now(),
                lifetime=timedelta(days=options["days"]),
                with_factor=True,
            )
        )


def _membership(username: str, code: str) -> Membership:
    found = Membership.objects.filter(
        person__username=username,
        person__is_active=True,
        contractor__code=code,
        contractor__retired_on=None,
        deactivated_at=None,
    ).first()
    if found is None:
        raise CommandError(f"Nobody active at {code!r} is named {username!r}.")
    return found
