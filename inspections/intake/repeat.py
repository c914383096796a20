"""Repeat-safe uploads: one row per call, found again by the sender's own key."""

from datetime import datetime

from django.db import OperationalError, connection, transaction
from psycopg.errors import LockNotAvailable

from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import Conflict, Unprocessable
from inspections.intake.understood import NewUpload
from inspections.models import Upload


class KeyReused(Unprocessable):
    """You have used this idempotency key for another body."""

    code = "key-reused"


class StillRunning(Conflict):
    """The first call with this idempotency key has not finished yet."""

    code = "still-running"


def _sender(scope: Scope) -> int:
    if scope.membership_id is None:
        raise ValueError("an upload is sent by someone")
    return scope.membership_id


def same_call(*, scope: Scope, key: str | None, fingerprint: str) -> Upload | None:
    """Return the answered upload with this key and body, if there is one."""
    if key is None:
        return None
    return (
        Upload.objects.within(scope)
        .filter(membership_id=_sender(scope), key=key)
        .filter(fingerprint=fingerprint, answer__isnull=False)
        .first()
    )


def open_upload(
    *,
    scope: Scope,
    key: str | None,
    fingerprint: str,
    upload: NewUpload,
    received_at: datetime,
) -> tuple[Upload, bool]:
    """Return the upload's own row, and whether an earlier call has made it."""
    offset = (received_at - upload.sent_at) if upload.sent_at else None
    fields = Upload(
        contractor_id=scope.contractor_id,
        membership_id=_sender(scope),
        token_id=scope.token_id,
        key=key,
        fingerprint=fingerprint,
        sent_at=upload.sent_at,
        received_at=received_at,
        clock_offset_s=offset.total_seconds() if offset is not None else None,
    )
    if key is None:
        fields.save(force_insert=True)
        return fields, False
    try:
        with transaction.atomic(), connection.cursor() as cursor:
            # Waits for a first call that is under way, but not for long.
            cursor.execute("SET LOCAL lock_timeout = '2s'")
            Upload.objects.bulk_create([fields], ignore_conflicts=True)
            cursor.execute("SET LOCAL lock_timeout = DEFAULT")
    except OperationalError as error:
        if isinstance(error.__cause__, LockNotAvailable):
            raise StillRunning from error
        raise
    stored = Upload.objects.within(scope).get(membership_id=_sender(scope), key=key)
    if stored.answer is None:
        return stored, False
    if stored.fingerprint != fingerprint:
        raise KeyReused
    return stored, True
