"""Mails of a restored service wait until a person releases them.

What was mailed after the backup stands in a restored database as still to be mailed,
and people may act on a letter that was overtaken. So the database's own identity is
noted; a restore makes another: a new cluster has another system identifier, recovery
to a point in time another timeline, a dump loaded again another database number. A
standby that was promoted counts as restored too: it may have lost what was sent last.
"""

from collections.abc import Iterable
from datetime import datetime

from django.db import connection

from fleet.platform.choices import JobState
from fleet.platform.database import tenancy
from fleet.platform.models import Contractor, Job, MailRelease
from fleet.platform.models.outgoing import OutgoingMail, OutgoingState

OF_ALL = "mails"
_OPEN = (OutgoingState.QUEUED, OutgoingState.SENDING)
DROPPED = "not sent: dropped by hand after a restore"


def identity() -> str:
    """Return what this database is told by; another one after a restore."""
    with connection.cursor() as cursor:
        cursor.execute(_IDENTITY)
        return ".".join(map(str, cursor.fetchone()))


# The timeline of the log that is written now: the control file learns of a new one
# only with the next checkpoint.
_IDENTITY = """
SELECT system_identifier, left(pg_walfile_name(pg_current_wal_lsn()), 8),
    (SELECT oid FROM pg_database WHERE datname = current_database())
FROM pg_control_system()
"""


def is_held() -> bool:
    """Tell whether mails wait for a person: this is not the database they were for."""
    known = MailRelease.objects.filter(pk=OF_ALL).values_list("database", flat=True)
    released = known.first()
    return released is not None and released != identity()


def note(*, now: datetime) -> None:
    """Note which database this is, if nobody ever has; a tick calls it."""
    if not MailRelease.objects.filter(pk=OF_ALL).exists():
        row = MailRelease(database=identity(), changed_at=now)
        MailRelease.objects.bulk_create([row], ignore_conflicts=True)


def hold(*, by: str, now: datetime) -> None:
    """Send no mail from now on, until somebody releases them."""
    _say("", by=by, now=now)


def release(*, kinds: Iterable[str], by: str, now: datetime) -> None:
    """Send mails again, those that waited first; the sweeper rings for their jobs."""
    _say(identity(), by=by, now=now)
    waiting = Job.objects.filter(kind__in=list(kinds), state=JobState.QUEUED)
    waiting.update(rung_at=None)


def waiting() -> dict[str, int]:
    """Return how many mails of each table wait, over all contractors."""
    found: dict[str, int] = {}
    for contractor in Contractor.objects.order_by("pk"):
        with tenancy.acting_for(contractor_id=contractor.pk) as scope:
            for table in tables():
                rows = table._default_manager.all().within(scope)
                name = str(table._meta.verbose_name_plural)
                count = rows.filter(state__in=_OPEN).count()
                found[name] = found.get(name, 0) + count
    return found


def drop_waiting(*, kinds: Iterable[str], now: datetime) -> None:
    """End every mail that waits as not sent; its row says why."""
    for contractor in Contractor.objects.order_by("pk"):
        with tenancy.acting_for(contractor_id=contractor.pk) as scope:
            for table in tables():
                rows = table._default_manager.all().within(scope)
                rows.filter(state__in=_OPEN).update(
                    state=OutgoingState.FAILED, last_answer=DROPPED
                )
            Job.objects.filter(
                kind__in=list(kinds),
                contractor_id=contractor.pk,
                state__in=(JobState.QUEUED, JobState.RUNNING),
            ).update(state=JobState.CANCELLED, finished_at=now, lease_until=None)


def tables() -> list[type[OutgoingMail]]:
    """Return the tables of mails that are rows, of all apps."""
    return sorted(OutgoingMail.__subclasses__(), key=lambda table: table.__name__)


def _say(database: str, *, by: str, now: datetime) -> None:
    MailRelease.objects.update_or_create(
        pk=OF_ALL, defaults={"database": database, "changed_at": now, "changed_by": by}
    )
