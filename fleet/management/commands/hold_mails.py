"""`manage.py hold_mails`: nothing goes out by mail until somebody releases it."""

import getpass
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from fleet.platform.queue import mail_hold


class Command(BaseCommand):
    help = (
        "Send no mail from now on: no urgent one, no report, no invitation. They wait "
        "for `manage.py release_mails`. Typed after a restore, before anything starts."
    )

    def handle(self, **_: Any) -> None:
        """Hold all mails."""
        mail_hold.hold(by=getpass.getuser(), now=timezone.now())
        self.stdout.write("Mails are held. `manage.py release_mails` sends them.")
