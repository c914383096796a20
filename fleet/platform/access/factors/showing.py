"""Show a second factor, add one, give one up: counted, told, and marked in the session.

A wrong code is no exception: its count must outlive the answer.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.contrib.auth import update_session_auth_hash
from django.db.models import F
from django.http import HttpRequest

from fleet.platform import security_log
from fleet.platform.access import counts, sessions
from fleet.platform.access.factors import (
    codes,
    passkeys,
    recovery,
    standing,
    telling,
)
from fleet.platform.access.factors.telling import FactorNews
from fleet.platform.errors import Conflict, NotFound
from fleet.platform.models import Membership, Person, SecondFactor
from fleet.platform.models.second_factor import FactorKind

SPAN = timedelta(minutes=15)
DAY = timedelta(days=1)
# For each try of a quarter of an hour, so many in a day: a million codes are not
# tried through at leisure.
TRIES_A_DAY = 6
AT_MOST = 10


class TooManyFactors(Conflict):
    """The person has as many second factors as one can have; remove one first."""

    code = "too-many-factors"


class LastFactor(Conflict):
    """The contractor wants a second factor of you, and this is the last one."""

    code = "last-factor"


class NoSuchFactor(NotFound):
    """There is no such second factor of yours."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TryOutcome:
    """What became of a try: it was right, or wrong, or came too often."""

    is_right: bool
    wait_s: int | None = None


def by_code(
    request: HttpRequest, *, person: Person, code: str, at: datetime
) -> TryOutcome:
    """Show a one-time code or a recovery code, counted."""
    wait_s = count(person=person, at=at)
    if wait_s is not None:
        _tell("second-factor-too-often", person, grave=True)
        return TryOutcome(is_right=False, wait_s=wait_s)
    by = _taken_as(person=person, code=code, at=at)
    if by is None:
        _tell("second-factor-wrong", person, grave=True)
        return TryOutcome(is_right=False)
    _forget(person)
    _mark(request, person, by=by, at=at)
    if by == FactorKind.RECOVERY:
        telling.write(person=person, news=FactorNews.CODE_USED, at=at)
    return TryOutcome(is_right=True)


def by_passkey(
    request: HttpRequest, *, person: Person, credential: Mapping[str, Any], at: datetime
) -> TryOutcome:
    """Show a passkey; it cannot be guessed, so it is not counted."""
    try:
        passkeys.show(request, person=person, credential=credential, at=at)
    except passkeys.NotVerified:
        _tell("second-factor-wrong", person, grave=True, by=FactorKind.PASSKEY)
        return TryOutcome(is_right=False)
    _mark(request, person, by=FactorKind.PASSKEY, at=at)
    return TryOutcome(is_right=True)


def confirm_codes(
    request: HttpRequest, *, person: Person, factor_id: int, code: str, at: datetime
) -> tuple[TryOutcome, list[str]]:
    """Take the first code of a secret; with a first factor come recovery codes.

    Raises NoSuchFactor.
    """
    row = (
        SecondFactor.objects.select_for_update()
        .filter(
            person=person,
            pk=factor_id,
            kind=FactorKind.TOTP,
            confirmed_at=None,
            created_at__gt=at - codes.WAITS,
        )
        .first()
    )
    if row is None:
        raise NoSuchFactor
    wait_s = count(person=person, at=at)
    if wait_s is not None or not codes.take(row=row, code=code, at=at):
        return TryOutcome(is_right=False, wait_s=wait_s), []
    row.confirmed_at = at
    row.save(update_fields=["confirmed_at"])
    _forget(person)
    return TryOutcome(is_right=True), added(request, person=person, row=row, at=at)


def added(
    request: HttpRequest, *, person: Person, row: SecondFactor, at: datetime
) -> list[str]:
    """Tell of a factor that was added; the first one brings recovery codes."""
    _tell("second-factor-added", person, by=row.kind, factor=row.pk)
    sessions.note_shown(request, sessions.FACTOR, at=at)
    telling.write(person=person, news=FactorNews.ADDED, at=at)
    _end_other_sessions(request, person)
    if recovery.left(person=person):
        return []
    return recovery.renew(person=person, at=at)


def renew_codes(*, person: Person, at: datetime) -> list[str]:
    """Return new recovery codes, and tell of it; the earlier ones are void."""
    if not standing.has_factor(person_id=person.pk):
        raise NoSuchFactor
    _tell("second-factor-codes-made", person)
    telling.write(person=person, news=FactorNews.CODES_MADE, at=at)
    return recovery.renew(person=person, at=at)


def check_room(*, person: Person) -> None:
    """Raise TooManyFactors if the person has as many as one can have."""
    if SecondFactor.objects.usable().filter(person=person).count() >= AT_MOST:
        raise TooManyFactors


def remove(
    request: HttpRequest,
    *,
    person: Person,
    membership: Membership | None,
    factor_id: int,
    at: datetime,
) -> None:
    """Give one up; with the last one the recovery codes go. Raises LastFactor.

    Other sessions of the person end, as with a factor that is added (ASVS 5.0, 7.4.3).
    """
    # All are locked: two at once must not both be the last but one.
    rows = list(SecondFactor.objects.select_for_update().filter(person=person))
    row = next((r for r in rows if r.pk == factor_id), None)
    if row is None or row.kind == FactorKind.RECOVERY:
        raise NoSuchFactor
    others = [
        r
        for r in rows
        if r.confirmed_at and r.kind != FactorKind.RECOVERY and r.pk != row.pk
    ]
    if not others and standing.is_required(person=person, membership=membership):
        raise LastFactor
    row.delete()
    if not others:
        SecondFactor.objects.filter(person=person).delete()
    _tell("second-factor-removed", person, by=row.kind, factor=factor_id)
    telling.write(person=person, news=FactorNews.REMOVED, at=at)
    _end_other_sessions(request, person)


def _end_other_sessions(request: HttpRequest, person: Person) -> None:
    Person.objects.filter(pk=person.pk).update(session_epoch=F("session_epoch") + 1)
    person.refresh_from_db(fields=["session_epoch"])
    update_session_auth_hash(request, person)


def reset(*, person: Person, at: datetime) -> int:
    """Take all factors of a person away and end their sessions; return how many."""
    number = SecondFactor.objects.usable().filter(person=person).count()
    SecondFactor.objects.filter(person=person).delete()
    Person.objects.filter(pk=person.pk).update(session_epoch=F("session_epoch") + 1)
    _tell("second-factor-reset", person, grave=True)
    telling.write(person=person, news=FactorNews.RESET, at=at)
    return number


def count(*, person: Person, at: datetime) -> int | None:
    """Count a try; return None if it may be made, else the seconds to wait."""
    waits = []
    for name, limit in _names(person):
        counted = counts.count(name=name, limit=limit, at=at)
        if counted.exceeds(limit):
            waits.append(counted.wait_s(at=at))
    return max(waits, default=None)


def _forget(person: Person) -> None:
    for name, _ in _names(person):
        counts.forget(name=name)


def _names(person: Person) -> list[tuple[str, counts.TryLimit]]:
    tries = settings.SECOND_FACTOR_TRIES
    return [
        (f"factor/{person.pk}", counts.TryLimit(most=tries, span=SPAN)),
        (
            f"factor/day/{person.pk}",
            counts.TryLimit(most=tries * TRIES_A_DAY, span=DAY),
        ),
    ]


def _taken_as(*, person: Person, code: str, at: datetime) -> str | None:
    rows = (
        SecondFactor.objects.usable()
        .select_for_update()
        .filter(person=person, kind=FactorKind.TOTP)
        .order_by("pk")
    )
    if any(codes.take(row=row, code=code, at=at) for row in rows):
        return FactorKind.TOTP
    is_spare = recovery.take(person=person, code=code, at=at)
    return FactorKind.RECOVERY if is_spare else None


def _mark(request: HttpRequest, person: Person, *, by: str, at: datetime) -> None:
    sessions.note_shown(request, sessions.FACTOR, at=at)
    _tell("second-factor-shown", person, grave=by == FactorKind.RECOVERY, by=by)


def _tell(
    event: str, person: Person, *, grave: bool = False, **details: object
) -> None:
    security_log.tell(event, grave=grave, person=person.pk, **details)
