"""Links to reports too large to attach: signed, for one report, expiring, revocable."""

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from urllib.parse import urljoin

from django.conf import settings
from django.core import signing
from django.db.models import F
from django.urls import reverse

from fleet.models import Membership
from fleet.platform.database import tenancy
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import DomainError, NotFound
from reports.models import Delivery, Report, ReportState

LIFETIME = timedelta(days=30)
_SALT = "reports.delivery.links"


class LinkOver(DomainError):
    """This link is no longer valid. Ask your contractor for a new one."""

    code = "link-over"


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """What a link leads to."""

    report: Report


def base_address() -> str:
    """Return the public address links begin with; empty if none was set."""
    return str(getattr(settings, "PUBLIC_URL", "") or "")


def make_link(*, delivery: Delivery, now: datetime) -> str:
    """Return a delivery's link; the same one at every try, made at the first."""
    if not delivery.link_key:
        delivery.link_key = secrets.token_urlsafe(16)
        delivery.link_until = now + LIFETIME
    signed = signing.Signer(salt=_SALT).sign(
        f"{delivery.contractor_id}.{delivery.pk}.{delivery.link_key}"
    )
    return urljoin(base_address(), reverse("report-link", args=[signed]))


def open_link(*, signed: str, now: datetime) -> Opened:
    """Return the report a link leads to, confined to its contractor.

    Must be called inside a transaction. Raises NotFound for a link that was never
    made here, LinkOver for one that is too old or was revoked.
    """
    try:
        text = signing.Signer(salt=_SALT).unsign(signed)
    except signing.BadSignature as error:
        raise NotFound from error
    contractor, pk, key = text.split(".", 2)
    tenancy.confine(contractor_id=int(contractor))
    delivery = (
        Delivery.objects.within(Scope(contractor_id=int(contractor)))
        .select_related("report__owner")
        .filter(pk=int(pk))
        .first()
    )
    if delivery is None or delivery.link_until is None:
        raise LinkOver
    report: Report = delivery.report
    is_over = (
        not secrets.compare_digest(delivery.link_key, key)
        or delivery.link_until <= now
        or report.state != ReportState.PUBLISHED
        or (report.owner is not None and report.owner.retired_on is not None)
        or _has_left(delivery)
    )
    if is_over:
        raise LinkOver
    return Opened(report=report)


def end(*, scope: Scope, delivery: Delivery, now: datetime) -> Delivery:
    """End a delivery's link; what is over already stays as it is."""
    rows = Delivery.objects.within(scope).filter(pk=delivery.pk, link_until__gt=now)
    rows.update(link_until=now, version=F("version") + 1)
    delivery.refresh_from_db()
    return delivery


def end_for(*, membership: Membership, at: datetime) -> None:
    """End the links that were mailed to someone who is let go; they stay ended."""
    rows = Delivery.objects.within(Scope(contractor_id=membership.contractor_id))
    rows = rows.filter(address__iexact=membership.person.email, link_until__gt=at)
    rows.update(link_until=at, version=F("version") + 1)


def _has_left(delivery: Delivery) -> bool:
    """Tell whether the mail went to one of the contractor's people who is gone."""
    people = Membership.objects.filter(
        contractor_id=delivery.contractor_id, person__email__iexact=delivery.address
    )
    return people.exists() and not people.usable().exists()
