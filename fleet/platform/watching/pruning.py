"""What may be forgotten: rows that nobody asks for after some weeks."""

from datetime import datetime

from django.contrib.sessions.models import Session

from fleet.platform.choices import JobState
from fleet.platform.models import Job


def jobs(*, before: datetime) -> int:
    """Remove jobs that ended well before a time; return how many.

    Those that failed stay until somebody has looked at them.
    """
    ended = Job.objects.filter(
        state__in=(JobState.DONE, JobState.CANCELLED), finished_at__lt=before
    )
    return ended.delete()[0]


def sessions(*, before: datetime) -> int:
    """Remove sessions that had run out before a time; return how many."""
    return Session.objects.filter(expire_date__lt=before).delete()[0]
