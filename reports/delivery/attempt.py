"""Deliveries of reports on their way."""

from datetime import datetime

from fleet.platform.mailing import MailResult
from fleet.platform.outbox import Outbox
from reports.delivery import letter
from reports.delivery.queueing import DELIVER
from reports.models import Delivery, RefusedAddress

# Minutes to wait after each try. The sum is five days: senders should try for four
# to five days before they give up (RFC 5321, 4.5.4.1).
WAITS_MIN = (1, 5, 30, 120, 480, 1440, 1440, 1440, 1440, 1440)


def _mark_address(*, mail: Delivery, answer: MailResult, now: datetime) -> None:
    RefusedAddress.objects.get_or_create(
        contractor_id=mail.contractor_id,
        address=mail.address,
        cleared_at=None,
        defaults={"delivery": mail, "answer": answer.said, "refused_at": now},
    )


OUTBOX = Outbox(
    table=Delivery,
    job_kind=DELIVER,
    waits_min=WAITS_MIN,
    compose=letter.compose,
    related=("report__owner", "report__contractor", "report__building"),
    on_refused=_mark_address,
)
