"""Write deliveries and the jobs that carry them out."""

from collections.abc import Iterable
from datetime import datetime

from django.core.exceptions import ValidationError
from django.core.validators import validate_email

from fleet.platform import outbox
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import NotFound, Unprocessable
from fleet.platform.queue import jobs
from reports.models import Delivery, DeliveryState, RefusedAddress, Report

DELIVER = "reports.tasks.deliver"


class NoAddress(Unprocessable):
    """This is no mail address."""

    code = "no-address"


def queue(
    *, scope: Scope, report: Report, addresses: Iterable[str], now: datetime
) -> list[int]:
    """Write a delivery for each address that has none yet; return the jobs' ids.

    Nothing is sent to an address that refused mail before; its delivery says so.
    Raises NoAddress, in particular for an address with a line break in it.
    """
    wanted = list(dict.fromkeys(checked(address) for address in addresses))
    known = set(
        Delivery.objects.within(scope)
        .filter(report=report, address__in=wanted)
        .values_list("address", flat=True)
    )
    refused = {
        row.address: row
        for row in RefusedAddress.objects.within(scope).filter(
            address__in=wanted, cleared_at=None
        )
    }
    made = [
        Delivery.objects.create(
            contractor_id=scope.contractor_id,
            report=report,
            address=address,
            message_id=outbox.message_id(),
            next_try_at=now,
            **_refused_before(refused.get(address)),
        )
        for address in wanted
        if address not in known
    ]
    return jobs.write(
        kind=DELIVER,
        contractor_id=scope.contractor_id,
        subject_ids=[d.pk for d in made if d.state == DeliveryState.QUEUED],
        due_at=now,
    )


def checked(address: str) -> str:
    """Return an address that can stand in a header. Raises NoAddress."""
    try:
        validate_email(address)
    except ValidationError as error:
        raise NoAddress(f"{address[:80]!r} is no mail address") from error
    return address


def clear(
    *, scope: Scope, address_id: int, membership_id: int, now: datetime
) -> RefusedAddress:
    """Let mail be sent to a refused address again. Raises NotFound."""
    rows = RefusedAddress.objects.within(scope).filter(pk=address_id)
    rows.filter(cleared_at=None).update(cleared_at=now, cleared_by_id=membership_id)
    found: RefusedAddress | None = rows.first()
    if found is None:
        raise NotFound
    return found


def _refused_before(row: RefusedAddress | None) -> dict[str, str]:
    if row is None:
        return {}
    said = f"not sent: refused on {row.refused_at:%Y-%m-%d}: {row.answer}"
    return {"state": DeliveryState.REFUSED, "last_answer": said[:300]}
