"""Who tries the doors: each role by key and by session, and those who have lost it."""

import json
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import connection, transaction
from django.test import Client
from django.utils import timezone

from fleet.models import Machine, Membership, Owner, Person
from fleet.platform.access import pairing, tokens
from fleet.platform.api import field_cookie
from fleet.register import people
from inspections.models import VisitPhoto
from reports.models import Report, ReportKind, ReportState
from tests import browsers, callers, estates, factories
from tests.access import matrix
from tests.access.doors import ANY
from tests.access.matrix import Door

ABSENT = 10**9
OWN = "http://testserver"
DRAFTS = tuple(state for state in ReportState if state != ReportState.PUBLISHED)
# What looking alone may write: counts, sessions, when a key was used or a file fetched.
WRITTEN_BY_LOOKING = {
    "django_session",
    "fleet_tally",
    "fleet_token",
    "fleet_exportfile",
}
WRITES = re.compile(r'\s*(?:INSERT INTO|UPDATE|DELETE FROM)\s+"?(\w+)')
SECRET = b"%PDF-1.7 EUR 1234.50 of a draft"


@dataclass(frozen=True, slots=True, kw_only=True)
class Caller:
    """Someone at a door, with a key or logged in, or neither."""

    headers: dict[str, str]
    browser: Client

    def ask(self, method: str, path: str, door: Door, pk: int = 1) -> Any:
        """Send a request whose changes are taken back."""
        factories.forget_tenant()
        content, kind = _content(door)
        how = {"If-Match": "*", "Origin": OWN} if method in ("POST", "PATCH") else {}
        with _taken_back(), _nothing_written(path, asked=method in ("GET", ANY)):
            answer = self.browser.generic(
                "GET" if method == ANY else method,
                f"/{address(path, pk)}",
                b"" if method in ("GET", ANY) else content,
                content_type=kind,
                headers=how | self.headers,
            )
            answer.whole = whole(answer)
            return answer


def whole(answer: Any) -> bytes:
    """Return what an answer holds; read to its end, a file is closed."""
    streams = answer.streaming
    return b"".join(answer.streaming_content) if streams else bytes(answer.content)


def by_key(key: str) -> Caller:
    return Caller(
        headers={"Authorization": f"Bearer {key}"},
        browser=Client(raise_request_exception=False),
    )


def logged_in(person: Person) -> Caller:
    """Return the caller in a browser, who has just said their password."""
    return Caller(headers={}, browser=browsers.confirmed(person))


def by_phone(cast: factories.Cast, role: str = "TECHNICIAN") -> Caller:
    """Return the caller as a phone that was paired by a code."""
    at, member = timezone.now(), cast.memberships[role]
    shown = pairing.show_code(
        membership=member, made_by=member.pk, with_factor=False, at=at
    )
    paired = pairing.pair(code=shown.code, device="a phone", at=at)
    browser = Client(raise_request_exception=False)
    browser.cookies[field_cookie.COOKIE] = paired.key
    named = {field_cookie.HEADER: str(paired.phone.pk)}
    return Caller(headers=named, browser=browser)


def nobody() -> Caller:
    return Caller(headers={}, browser=Client(raise_request_exception=False))


def keeper() -> Caller:
    return logged_in(Person.objects.create_superuser("keeper", "", "not guessed 12"))


def only_uploading(cast: factories.Cast) -> Caller:
    return by_key(
        tokens.issue(
            membership=cast.memberships["TECHNICIAN"],
            device="uploads",
            scopes=["UPLOAD"],
            issued_at=timezone.now(),
        )
    )


def let_go(cast: factories.Cast, role: str) -> None:
    """Let the one of a role go, as someone else of the office does."""
    callers.confine(cast)
    other = Membership.objects.create(
        person=Person.objects.create(username="stays", is_staff=True),
        contractor=cast.contractor,
        role="OFFICE",
    )
    scope = factories.Scope(
        contractor_id=cast.contractor.pk, membership_id=other.pk, role="OFFICE"
    )
    people.deactivate(scope=scope, membership=cast.memberships[role], at=timezone.now())


def retire_owner(cast: factories.Cast) -> None:
    callers.confine(cast)
    Owner.objects.filter(code="mill").update(retired_on=date(2026, 1, 1))


def make_competent(cast: factories.Cast) -> None:
    row = cast.memberships["TECHNICIAN"]
    row.qualification, row.competent_until = "rope inspector", date(2099, 1, 1)
    row.save()


def with_files(found: estates.World) -> estates.World:
    """Return both contractors, with the files that their rows name."""
    for cast in (found.north, found.south):
        callers.confine(cast)
        for name in ("photos/none.jpg", "reports/none.pdf", "exports/none.csv"):
            default_storage.save(name, ContentFile(b"a file"))
        VisitPhoto.objects.update(size_bytes=6)
    return found


def with_history(cast: factories.Cast) -> Machine:
    """Retire a machine of the reader's owner with all that is known of it."""
    estates.grow(cast, machines=1, mark="old")
    machine = Machine.objects.get(code="old-0")
    machine.retired_on = date(2026, 2, 1)
    machine.save()
    return machine


def with_drafts(cast: factories.Cast) -> list[Report]:
    """Draw a report of each state that is not out, with money in its file."""
    callers.confine(cast)
    default_storage.save("reports/draft.pdf", ContentFile(SECRET))
    like = Report.objects.get(number="R-MH-1")
    found = []
    for number, state in enumerate(DRAFTS):
        like.pk = None
        like.state, like.number, like.revision = state, f"D-{number}", 2 + number
        like.plan, like.file = None, "reports/draft.pdf"
        like.content = {"cost": "EUR 1234.50"}
        like.save(force_insert=True)
        found.append(Report.objects.get(pk=like.pk))
    return found


def visible(
    where: estates.World, cast: factories.Cast, door: Door, role: str
) -> set[int]:
    """Return the ids that the matrix gives a role behind a door."""
    cell = door.cell(role)
    if cell in (matrix.NO, matrix.NONE):
        return set()
    found = where.visible(door.model, cast, role)
    if cell == matrix.ISSUED:
        rows = Report.objects.filter(pk__in=found, state=ReportState.PUBLISHED)
        found = estates.ids(rows.exclude(kind=ReportKind.PORTFOLIO_REVIEW))
    return found


def address(path: str, pk: int) -> str:
    """Return an address with an id, and with words where it takes others."""
    found = path.replace("<pk>", str(pk)).replace("<id>", str(pk))
    found = found.replace("<key>", "wear-1")
    for place in (
        *("<str:address>", "<str:signed>", "<uidb64>", "<token>"),
        *("<path:content_type_id>", "(?P<url>.*)"),
    ):
        found = found.replace(place, "1")
    return found.replace("(?P<app_label>fleet|auth|inspections)", "fleet")


def _content(door: Door) -> tuple[bytes, str]:
    body = {"nonsense": 1} if door.body is None else door.body
    content = body if isinstance(body, bytes) else json.dumps(body).encode()
    return content, door.content_type


@contextmanager
def _taken_back() -> Iterator[None]:
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


@contextmanager
def _nothing_written(path: str, *, asked: bool) -> Iterator[None]:
    """Fail where looking changes anything that somebody could have wanted as it was."""
    written: set[str] = set()

    def note(execute: Any, sql: Any, *rest: Any) -> Any:
        if found := WRITES.match(str(sql)):
            written.add(found[1])
        return execute(sql, *rest)

    with connection.execute_wrapper(note):
        yield
    assert not asked or written <= WRITTEN_BY_LOOKING, (path, written)
