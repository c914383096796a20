"""Write a mail for everyone in the office, in the transaction of the upload."""

import uuid
from datetime import datetime
from email.utils import parseaddr

from django.conf import settings

from fleet import jobs, tasks
from fleet.choices import Role
from fleet.models import Membership
from fleet.tenancy import Scope
from inspections.models import UrgentMail

WARN = "inspections.tasks.warn"

NOBODY = (
    "nobody of the office has a mail address here: tell whoever is in charge of the "
    "machine yourself, now"
)


def tell(*, scope: Scope, upload_id: int, now: datetime) -> str:
    """Write the mails of an upload whose readings act at once, with their jobs.

    Returns who is being told, in words for the sender. Call it once, in the
    transaction that stores the readings; the workers are rung when it is committed.
    """
    mails = UrgentMail.objects.bulk_create(
        UrgentMail(
            contractor_id=scope.contractor_id,
            upload_id=upload_id,
            membership_id=membership_id,
            address=address,
            message_id=_message_id(),
            next_try_at=now,
        )
        for address, membership_id in _office(scope).items()
    )
    if not mails:
        return NOBODY
    job_ids = jobs.write(
        kind=WARN,
        contractor_id=scope.contractor_id,
        subject_ids=[mail.pk for mail in mails],
        due_at=now,
    )
    tasks.ring_after_commit(job_ids=job_ids, kind=WARN)
    people = "1 person" if len(mails) == 1 else f"{len(mails)} people"
    return (
        f"mail goes to {people} of the office now; it may be late or unread, so tell "
        "whoever is in charge of the machine yourself too"
    )


def _office(scope: Scope) -> dict[str, int]:
    """Return address -> membership of those in the office who can be written to."""
    rows = Membership.objects.filter(
        contractor_id=scope.contractor_id,
        role=Role.OFFICE,
        deactivated_at=None,
        person__is_active=True,
    )
    rows = rows.exclude(person__email="").order_by("-pk")
    return dict(rows.values_list("person__email", "pk"))


def _message_id() -> str:
    """Return a Message-ID that is never made twice (RFC 5322, 3.6.4)."""
    domain = parseaddr(settings.DEFAULT_FROM_EMAIL)[1].rpartition("@")[2]
    return f"<{uuid.uuid4().hex}@{domain or 'localhost'}>"
