"""A person's sessions that are open, to be looked at and ended (ASVS 5.0, 7.5.2).

Which person a session belongs to stands inside it, so all that have not run out are
read: they are as many as people who worked within the last hours.
"""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth import HASH_SESSION_KEY, SESSION_KEY
from django.contrib.sessions.backends.base import SessionBase
from django.contrib.sessions.models import Session
from django.utils.crypto import constant_time_compare

from fleet.platform import security_log
from fleet.platform.access import browser_names, sessions
from fleet.platform.models import Person


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenSession:
    """One session by a mark that is none of its secrets; times are the server's."""

    mark: str
    is_this: bool
    times: sessions.Times
    opened_with: browser_names.Names


def listed(*, person: Person, here: SessionBase, at: datetime) -> list[OpenSession]:
    """Return the person's open sessions, this one first, then the last used one."""
    found = [
        OpenSession(
            mark=_mark(row.session_key),
            is_this=row.session_key == here.session_key,
            times=sessions.times_of(held, at=at),
            opened_with=browser_names.names_in(str(held.get(sessions.BROWSER, ""))),
        )
        for row, held in _of(person, at=at)
    ]
    return sorted(
        found,
        key=lambda one: (one.is_this, one.times.seen),
        reverse=True,
    )


def end(*, person: Person, mark: str, here: SessionBase, at: datetime) -> bool:
    """End one of the person's other sessions; tell whether there was one."""
    for row, _ in _of(person, at=at):
        if row.session_key != here.session_key and _mark(row.session_key) == mark:
            row.delete()
            security_log.tell("session-ended", person=person.pk)
            return True
    return False


def end_others(*, person: Person, here: SessionBase, at: datetime) -> int:
    """End all of the person's sessions but this one; return how many there were."""
    rows = [row for row, _ in _of(person, at=at)]
    others = [r.session_key for r in rows if r.session_key != here.session_key]
    Session.objects.filter(pk__in=others).delete()
    if others:
        security_log.tell("session-ended", person=person.pk, number=len(others))
    return len(others)


def _of(person: Person, *, at: datetime) -> Iterator[tuple[Session, dict[str, object]]]:
    """Yield each session that still lets the person in, with what it holds."""
    for row in Session.objects.filter(expire_date__gt=at):
        held = row.get_decoded()
        if held.get(SESSION_KEY) != str(person.pk):
            continue
        # A password or an epoch of before: it lets nobody in any more.
        proof = str(held.get(HASH_SESSION_KEY, ""))
        is_good = constant_time_compare(proof, person.get_session_auth_hash())
        if is_good and not sessions.times_of(held, at=at).is_over:
            yield row, held


def _mark(session_key: str) -> str:
    return hashlib.sha256(session_key.encode()).hexdigest()[:16]
