"""Links to reports too large to attach: signed, for one report, expiring, revocable.

What opens one is a code behind the # of its address, sent in the body of a form. Links
that an earlier version mailed have it in their address; they open as long as they live.
"""

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.core import signing
from django.db.models import F, QuerySet, Value
from django.db.models.functions import Least
from django.urls import reverse

from fleet.models import Membership
from fleet.platform.database import tenancy
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import DomainError, NotFound
from fleet.platform.pages import codes
from reports.models import Delivery, Report, ReportState

_SALT = "reports.delivery.codes"
# Of links that an earlier version mailed.
_SALT_OF_ADDRESSES = "reports.delivery.links"


class LinkOver(DomainError):
    """This link is no longer valid. Ask your contractor for a new one."""

    code = "link-over"


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """What a link says that was made here: whose delivery, and by which key."""

    contractor_id: int
    delivery_id: int
    key: str


def base_address() -> str:
    """Return the public address links begin with; empty if none was set."""
    return str(getattr(settings, "PUBLIC_URL", "") or "")


def make_link(*, delivery: Delivery, now: datetime) -> str:
    """Return a delivery's link; the same one at every try, made at the first."""
    if not delivery.link_key:
        lives = timedelta(days=delivery.contractor.report_link_days)
        delivery.link_key = secrets.token_urlsafe(16)
        delivery.link_until = now + lives
    link = Link(
        contractor_id=delivery.contractor_id,
        delivery_id=delivery.pk,
        key=delivery.link_key,
    )
    return codes.link(
        base=base_address(), path=reverse("report-links"), code=code_of(link)
    )


def code_of(link: Link) -> str:
    """Return the code that stands for a link."""
    text = f"{link.contractor_id}.{link.delivery_id}.{link.key}"
    return signing.Signer(salt=_SALT).sign(text)


def read(*, code: str) -> Link:
    """Return what a code says. Raises NotFound for one that was never made here."""
    return _read(code, salt=_SALT)


def read_address(*, signed: str) -> Link:
    """Return what an earlier version's address says.

    Raises NotFound for one that was never made here, and where no address may be a
    permission by itself.
    """
    if not settings.SECRET_ADDRESSES:
        raise NotFound
    return _read(signed, salt=_SALT_OF_ADDRESSES)


def _read(signed: str, *, salt: str) -> Link:
    try:
        text = signing.Signer(salt=salt).unsign(signed)
    except signing.BadSignature as error:
        raise NotFound from error
    contractor, pk, key = text.split(".", 2)
    return Link(contractor_id=int(contractor), delivery_id=int(pk), key=key)


def delivery_of(link: Link) -> Delivery | None:
    """Return the delivery of a link, confined to its contractor.

    Must be called inside a transaction.
    """
    tenancy.confine(contractor_id=link.contractor_id)
    rows = Delivery.objects.within(Scope(contractor_id=link.contractor_id))
    rows = rows.select_related("report__owner", "contractor")
    found: Delivery | None = rows.filter(pk=link.delivery_id).first()
    return found


def open_link(*, link: Link, now: datetime) -> Report:
    """Return the report a link leads to, confined to its contractor.

    Must be called inside a transaction. Raises LinkOver for a link that is too old or
    was revoked.
    """
    delivery = delivery_of(link)
    if delivery is None or delivery.link_until is None:
        raise LinkOver
    is_over = (
        not secrets.compare_digest(delivery.link_key, link.key)
        or delivery.link_until <= now
        or not may_be_read(delivery)
    )
    if is_over:
        raise LinkOver
    report: Report = delivery.report
    return report


def may_be_read(delivery: Delivery) -> bool:
    """Tell whether a delivery's report is still for whoever it was mailed to."""
    report = delivery.report
    return (
        delivery.link_ended_at is None
        and report.state == ReportState.PUBLISHED
        and (report.owner is None or report.owner.retired_on is None)
        and delivery.contractor.retired_on is None
        and not has_left(delivery)
    )


def end(*, scope: Scope, delivery: Delivery, now: datetime) -> Delivery:
    """End a delivery's link; what was ended already stays as it is."""
    _end(Delivery.objects.within(scope).filter(pk=delivery.pk), at=now)
    delivery.refresh_from_db()
    return delivery


def end_for(*, membership: Membership, at: datetime) -> None:
    """End the links that were mailed to someone who is let go; they stay ended."""
    rows = Delivery.objects.within(Scope(contractor_id=membership.contractor_id))
    _end(rows.filter(address__iexact=membership.person.email), at=at)


def _end(rows: QuerySet[Delivery], *, at: datetime) -> None:
    """End links, over by themselves or not: none is made anew."""
    rows.filter(link_until__isnull=False, link_ended_at=None).update(
        link_until=Least("link_until", Value(at)),
        link_ended_at=at,
        version=F("version") + 1,
    )


def has_left(delivery: Delivery) -> bool:
    """Tell whether a mail is for one of the contractor's people who is gone.

    Whoever was invited and has not joined yet is not gone.
    """
    people = Membership.objects.filter(
        contractor_id=delivery.contractor_id, person__email__iexact=delivery.address
    )
    here = people.filter(deactivated_at=None, person__is_active=True)
    return people.exists() and not here.exists()
