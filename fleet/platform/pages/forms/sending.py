"""A form that is sent twice does nothing twice: its reference stands beside its act."""

import hashlib
from datetime import datetime

from django.db import OperationalError, connection
from django.http import HttpRequest
from django.utils.translation import gettext_noop
from psycopg.errors import LockNotAvailable

from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import Conflict
from fleet.platform.models import SentForm
from fleet.platform.pages.forms.marks import FIELD, Mark

_NOT_TYPED = (FIELD, "csrfmiddlewaretoken")


class SameFormRunning(Conflict):
    """The same form is being worked on; wait a moment and look again."""

    code = "still-running"


gettext_noop("The same form is being worked on; wait a moment and look again.")


class SentBefore(Exception):
    """The form was sent before; `led_to` is where, None if something else was typed."""

    def __init__(self, led_to: str | None) -> None:
        super().__init__(led_to)
        self.led_to = led_to


def fingerprint(request: HttpRequest) -> str:
    """Return what tells two contents of one form apart."""
    found = hashlib.sha256(request.path.encode())
    for name, values in sorted(request.POST.lists()):
        if name not in _NOT_TYPED:
            found.update(repr((name, values)).encode())
    for name, file in sorted(request.FILES.items()):
        found.update(repr((name, getattr(file, "name", ""))).encode())
        for piece in getattr(file, "chunks", lambda: ())():
            found.update(piece)
        getattr(file, "seek", lambda _: None)(0)
    return found.hexdigest()


def refuse_second(*, scope: Scope, mark: Mark, content: str) -> None:
    """Raise SentBefore if the form has done its act already."""
    row = (
        SentForm.objects.within(scope)
        .filter(reference=mark.reference, done_at__isnull=False)
        .first()
    )
    if row is not None:
        raise SentBefore(row.led_to if row.fingerprint == content else None)


def claim(
    *, scope: Scope, mark: Mark, address: str, content: str, now: datetime
) -> SentForm:
    """Store that the form is done; must stand in the transaction of its act.

    Waits for a first sending that is under way. Raises SentBefore, StillRunning.
    """
    row = SentForm(
        contractor_id=scope.contractor_id,
        membership_id=mark.membership_id,
        reference=mark.reference,
        address=address[:500],
        fingerprint=content,
        done_at=now,
    )
    _forget_kept(scope=scope, mark=mark)
    try:
        with connection.cursor() as cursor:
            cursor.execute("SET LOCAL lock_timeout = '2s'")
            SentForm.objects.bulk_create([row], ignore_conflicts=True)
            cursor.execute("SET LOCAL lock_timeout = DEFAULT")
    except OperationalError as error:
        if isinstance(error.__cause__, LockNotAvailable):
            raise SameFormRunning from error
        raise
    stored: SentForm = SentForm.objects.within(scope).get(reference=mark.reference)
    if stored.led_to:
        raise SentBefore(stored.led_to if stored.fingerprint == content else None)
    return stored


def finish(row: SentForm, *, led_to: str) -> None:
    """Note where the form led, for whoever sends it again."""
    SentForm.objects.filter(contractor_id=row.contractor_id, pk=row.pk).update(
        led_to=led_to[:500]
    )


def _forget_kept(*, scope: Scope, mark: Mark) -> None:
    SentForm.objects.within(scope).filter(
        reference=mark.reference, done_at__isnull=True
    ).delete()
