"""A whole installation that makes reports and mails them to a real server."""

import sys
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass

from tests.fleet.installation import Installation
from tests.reports.mail_server import MailServer

LEASE_S = 5

FILL = """
import django, sys
django.setup()
from tests.reports import due_plans
due_plans.fill(plans=int(sys.argv[1]))
"""


@dataclass(slots=True, kw_only=True)
class PostOffice(Installation):
    """An installation whose workers reach the test's mail server."""

    mail: MailServer

    @property
    def environment(self) -> dict[str, str]:
        usual = Installation.environment.fget(self)  # type: ignore[attr-defined]
        return {
            **usual,
            "DJANGO_SETTINGS_MODULE": "tests.reports.mail_settings",
            "TEST_MAIL_PORT": str(self.mail.port),
            "JOB_LEASE_S": str(LEASE_S),
        }

    def fill(self, *, plans: int) -> None:
        """Put plans that are due into the tables."""
        self.run(sys.executable, "-c", FILL, str(plans))

    @contextmanager
    def workers(self, count: int):
        """Run several workers inside the block; at its end they are killed."""
        with ExitStack() as running:
            for _ in range(count):
                running.enter_context(self.worker())
            yield

    def counts(self) -> dict[str, int]:
        """Return how many reports and mails are in each state."""
        return dict(
            self.query(
                "SELECT 'report ' || state, count(*) FROM reports_report GROUP BY 1 "
                "UNION ALL "
                "SELECT 'mail ' || state, count(*) FROM reports_delivery GROUP BY 1"
            )
        )
