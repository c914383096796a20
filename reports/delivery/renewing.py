"""Another link in the place of one that is over, to the same address and no other."""

from datetime import datetime

from fleet.platform import outbox
from fleet.platform.database.tenancy import Scope
from fleet.platform.queue import jobs
from reports import overtaken
from reports.delivery import links
from reports.delivery.queueing import DELIVER
from reports.models import Delivery, DeliveryState, RefusedAddress


def renew(*, delivery: Delivery, now: datetime) -> list[int]:
    """Have a delivery's mail sent once more, with a link; return the jobs' ids.

    Nothing is sent where the link was ended by someone, where the report is no longer
    for that address or was overtaken, where the address refuses mail, or where the mail
    is on its way.
    A link that still opens is sent again as it is, so that nobody who asks ends it for
    whoever reads.
    """
    rows = Delivery.objects.filter(contractor_id=delivery.contractor_id)
    row = rows.select_for_update(of=("self",)).get(pk=delivery.pk)
    if row.link_until is None or row.state != DeliveryState.SENT:
        return []
    if not links.may_be_read(row) or _refuses_mail(row):
        return []
    scope = Scope(contractor_id=row.contractor_id)
    if not overtaken.of(scope=scope, report=row.report).may_be_mailed:
        return []
    if row.link_until <= now:
        row.link_key = ""
    # Another mail, and told apart from the first by its readers' programs too.
    row.message_id = outbox.message_id()
    row.state, row.attempts, row.next_try_at = DeliveryState.QUEUED, 0, now
    row.save()
    return jobs.write(
        kind=DELIVER,
        contractor_id=row.contractor_id,
        subject_ids=[row.pk],
        due_at=now,
    )


def _refuses_mail(delivery: Delivery) -> bool:
    rows = RefusedAddress.objects.filter(
        contractor_id=delivery.contractor_id,
        address=delivery.address,
        cleared_at=None,
    )
    return rows.exists()
