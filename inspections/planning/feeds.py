"""Secret addresses of calendars: made, found, revoked, and what they show."""

import hashlib
import hmac
import re
import secrets
import uuid
from dataclasses import dataclass
from datetime import date, datetime

from django.conf import settings
from django.db import transaction
from django.db.models import F, Max

from fleet.models import Contractor, Membership, Owner, Token
from fleet.platform.choices import Role
from fleet.platform.database import tenancy
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import NotFound
from fleet.platform.visibility import asking
from inspections import cautions
from inspections.models import OPEN_STATES, CalendarFeed, PlannedWork, PlanState
from inspections.planning import calendar_text, kinds
from inspections.planning.calendar_text import CalendarEvent

REFRESH_HOURS = 12
# Who it belongs to, where it is found, and the secret; nothing else is looked at.
_NAME = r"c([1-9][0-9]{0,17})-([0-9a-f]{12})"
_ADDRESS = re.compile(rf"{_NAME}-([A-Za-z0-9_-]{{43}})", re.ASCII)
_NAMED = re.compile(_NAME, re.ASCII)
_NAMESPACE = uuid.UUID("6f0f1f0e-7d0b-5f5e-9d3e-1c3c0f1a5b77")


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenPassword:
    """What opens a new calendar, shown once: its name, and the password to it."""

    name: str
    password: str

    @property
    def paths(self) -> tuple[str, str]:
        """Return the path that asks for the password, and one that needs none.

        The second is a secret by itself; where no address may be one, it is the first.
        """
        plain = f"/api/v1/calendars/{self.name}.ics"
        if not settings.SECRET_ADDRESSES:
            return plain, plain
        return plain, f"/api/v1/calendars/{self.name}-{self.password}.ics"


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarFile:
    """A calendar's text, and when anything in it last changed."""

    content: bytes
    changed_at: datetime


@transaction.atomic
def issue(
    *, scope: Scope, name: str, owner_id: int | None
) -> tuple[CalendarFeed, GivenPassword]:
    """Store a new address and return it with what opens it, which is shown only now.

    Raises NotFound for an owner out of reach.
    """
    owner = None
    if owner_id is not None:
        owner = Owner.objects.within(scope).filter(pk=owner_id).first()
        if owner is None:
            raise NotFound
    prefix, secret = secrets.token_hex(6), secrets.token_urlsafe(32)
    row: CalendarFeed = CalendarFeed.objects.create(
        contractor_id=scope.contractor_id,
        name=name,
        owner=owner,
        prefix=prefix,
        digest=_digest(secret),
        membership_id=scope.membership_id or 0,
        key_id=scope.token_id,
    )
    return row, GivenPassword(name=f"c{scope.contractor_id}-{prefix}", password=secret)


def revoke(*, scope: Scope, feed: CalendarFeed, now: datetime) -> CalendarFeed:
    """End an address; once ended it stays so."""
    rows = CalendarFeed.objects.within(scope).filter(pk=feed.pk, revoked_at=None)
    rows.update(revoked_at=now, version=F("version") + 1)
    feed.refresh_from_db()
    return feed


def is_open(feed: CalendarFeed) -> bool:
    """Tell whether an address still shows anything.

    It ends with the one of the office who made it, with its building owner, and with
    the key that made it, where that was revoked: it may have been a thief's.
    """
    if feed.key_id is not None:
        keys = Token.objects.filter(pk=feed.key_id, revoked_at__isnull=False)
        if keys.exists():
            return False
    makers = Membership.objects.usable().filter(
        pk=feed.membership_id, contractor_id=feed.contractor_id, role=Role.OFFICE
    )
    is_gone = feed.owner is not None and feed.owner.retired_on is not None
    return feed.revoked_at is None and not is_gone and makers.exists()


def end_for(*, membership: Membership, at: datetime) -> None:
    """End the addresses that someone made who is let go; they stay ended."""
    scope = Scope(contractor_id=membership.contractor_id)
    rows = CalendarFeed.objects.within(scope).filter(membership_id=membership.pk)
    rows.filter(revoked_at=None).update(revoked_at=at, version=F("version") + 1)


def is_named_only(*, address: str) -> bool:
    """Tell whether an address holds no secret, so that a password is wanted."""
    return not settings.SECRET_ADDRESSES or _NAMED.fullmatch(address) is not None


def open_(*, address: str) -> tuple[CalendarFeed, Scope]:
    """Return a feed, by its name, a dash and its password, and what it may show.

    Raises NotFound. Must be called inside a transaction: it is confined to the
    contractor that the address names, and nothing of it is shown without the secret.
    """
    match = _ADDRESS.fullmatch(address)
    contractor_id = int(match[1]) if match else 0
    tenancy.confine(contractor_id=contractor_id)
    scope = Scope(contractor_id=contractor_id)
    prefix, secret = (match[2], match[3]) if match else ("", "")
    row: CalendarFeed | None = (
        CalendarFeed.objects.within(scope)
        .select_related("owner")
        .filter(prefix=prefix)
        .first()
    )
    # Compared in any case, so that a wrong prefix takes no less time.
    expected = row.digest if row is not None else _digest("")
    is_right = hmac.compare_digest(expected, _digest(secret))
    if row is None or not is_right or not is_open(row):
        raise NotFound
    if row.owner_id is None:
        return row, Scope(contractor_id=contractor_id, role=Role.OFFICE)
    return row, Scope(
        contractor_id=contractor_id, role=Role.OWNER_READER, owner_id=row.owner_id
    )


def calendar(*, feed: CalendarFeed, scope: Scope) -> CalendarFile:
    """Return planned work that is open and has a day, as a calendar."""
    contractor = Contractor.objects.get(pk=scope.contractor_id)
    rows = (
        PlannedWork.objects.within(scope)
        .filter(state__in=OPEN_STATES)
        .select_related("machine__building")
        .annotate(changed_at=Max("steps__at"))
        .order_by("pk")
    )
    events: list[CalendarEvent] = []
    changed = feed.created_at
    for row in rows:
        at = row.changed_at or row.created_at
        changed = max(changed, at)
        if row.due_before_on is not None:
            events.append(_event(contractor, row, row.due_before_on, at, scope))
        if row.still_to_order_by_on is not None:
            events.append(_order(contractor, row, row.still_to_order_by_on, at, scope))
    content = calendar_text.write(
        name=feed.name, events=events, refresh_hours=REFRESH_HOURS
    )
    return CalendarFile(content=content, changed_at=changed)


def _event(
    contractor: Contractor, row: PlannedWork, on: date, at: datetime, scope: Scope
) -> CalendarEvent:
    words = kinds.WORDS.get(row.kind, row.kind)
    return CalendarEvent(
        uid=_uid(contractor, row, "due"),
        on=on,
        summary=f"{row.machine.code}: {words} before this day",
        description=_description(row, scope),
        location=_place(row),
        changed_at=at,
        sequence=row.version - 1,
        is_settled=row.state == PlanState.ORDERED,
    )


def _order(
    contractor: Contractor, row: PlannedWork, on: date, at: datetime, scope: Scope
) -> CalendarEvent:
    words = kinds.WORDS.get(row.kind, row.kind)
    return CalendarEvent(
        uid=_uid(contractor, row, "order"),
        on=on,
        summary=f"{row.machine.code}: order by this day ({words})",
        description=_description(row, scope),
        location="",
        changed_at=at,
        sequence=row.version - 1,
        is_settled=False,
    )


def _uid(contractor: Contractor, row: PlannedWork, what: str) -> str:
    """Return an id that lasts, and that no other installation gives (RFC 7986, 5.3)."""
    begun = contractor.created_at.isoformat()
    return str(uuid.uuid5(_NAMESPACE, f"{contractor.code}|{begun}|{row.pk}|{what}"))


def _description(row: PlannedWork, scope: Scope) -> str:
    """Return what belongs to the day; the office's note is the office's."""
    lines = [f"{row.machine.name}, {row.get_state_display()}"]
    if row.window_from_on is not None:
        lines.append(f"from {row.window_from_on} on")
    if row.note and asking.fields(PlannedWork, ["note"], scope=scope):
        lines.append(row.note)
    return "\n".join([*lines, *cautions.SHORT])


def _place(row: PlannedWork) -> str:
    building = row.machine.building
    return ", ".join(part for part in (building.name, building.address) if part)


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()
