"""Files that a worker makes: asked for, written whole, fetched, removed.

A file has its name in the storage only when it is whole, and its row names it only
then. It holds what the one who asked could see, and ends with them.
"""

import hashlib
import logging
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.core.files.base import File
from django.core.files.storage import default_storage
from django.db import transaction
from django.db.models import F
from django.utils import timezone

from fleet.platform import security_log
from fleet.platform.access import middleware
from fleet.platform.choices import JobState
from fleet.platform.database import standby, tenancy
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import Conflict, NotFound
from fleet.platform.models import Job, Membership
from fleet.platform.queue import jobs
from fleet.platform.queue.headway import Headway
from fleet.register import quotas
from fleet.register.exchange import everything
from fleet.register.models import ExportFile

logger = logging.getLogger(__name__)

WRITE_EXPORT = "fleet.tasks.write_export"
REMOVE_EXPORT = "fleet.tasks.remove_export"
FOLDER = "exports"
# Files of one person that are not made yet.
MOST_WAITING = 5
_AT_WORK = (JobState.QUEUED, JobState.RUNNING)


class TooManyExports(Conflict):
    """You wait for as many files as one may; fetch or remove one first."""

    code = "too-many-exports"


class NoFileYet(Conflict):
    """The file is not made yet."""

    code = "export-not-ready"


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenExport:
    """A whole file in the storage."""

    stored_as: str
    size_bytes: int
    sha256: str


@transaction.atomic
def ask(*, scope: Scope, name: str, now: datetime) -> tuple[ExportFile, list[int]]:
    """Ask for a file; return its row and the job that makes it, if it is a new one.

    Who asks again for a file that is not made yet gets the same. Raises NotFound,
    PermissionDenied, TooManyExports, QuotaReached.
    """
    everything.check_may_take(name=name, scope=scope)
    # Locked, so that two at once do not pass the most that one may have.
    Membership.objects.select_for_update(no_key=True).get(pk=scope.membership_id or 0)
    waiting = _waiting(scope)
    for one in waiting:
        if one.name == name:
            return one, []
    if len(waiting) >= MOST_WAITING:
        raise TooManyExports
    quotas.check_export(scope=scope, now=now)
    row = ExportFile.objects.create(
        contractor_id=scope.contractor_id,
        name=name,
        membership_id=scope.membership_id or 0,
        token_id=scope.token_id,
        role=scope.role,
        owner_id=scope.owner_id,
    )
    ids = jobs.write(
        kind=WRITE_EXPORT,
        contractor_id=scope.contractor_id,
        subject_ids=[row.pk],
        due_at=now,
    )
    security_log.tell("export-asked", export=row.pk, name=name)
    return row, ids


def job_of(export: ExportFile) -> Job | None:
    """Return the job that makes a file, until it is forgotten."""
    rows = Job.objects.filter(
        kind=WRITE_EXPORT, contractor_id=export.contractor_id, subject_id=export.pk
    )
    return rows.order_by("-pk").first()


def write_file(job: Job) -> WrittenExport | None:
    """Write the file of a job; None where nobody is left who may have it."""
    with tenancy.acting_for(contractor_id=job.contractor_id) as server:
        rows = ExportFile.objects.within(server).filter(stored_as="", removed_at=None)
        export = rows.filter(pk=job.subject_id or 0).first()
        scope = None if export is None else _scope_now(export)
    if export is None or scope is None:
        return None
    with closing(Headway(job, clock=timezone.now)) as headway:
        pieces = standby.read(
            lambda: everything.pieces(
                name=export.name, scope=scope, at=timezone.now(), tell=headway.tell
            )
        )
        content = _CountedFile(pieces, held=headway.hold)
        suffix = export.name.partition(".")[2]
        stored_as = default_storage.save(
            f"{FOLDER}/{job.contractor_id}/{export.pk}-{job.attempts}.{suffix}", content
        )
    return WrittenExport(
        stored_as=stored_as,
        size_bytes=content.size_bytes,
        sha256=content.digest.hexdigest(),
    )


def keep_file(job: Job, made: WrittenExport | None) -> None:
    """Name the file in its row, and have it removed when its time is over.

    A file whose reader is gone meanwhile is removed at once.
    """
    now = timezone.now()
    scope = Scope(contractor_id=job.contractor_id)
    rows = ExportFile.objects.within(scope).filter(pk=job.subject_id or 0)
    if made is None:
        rows.filter(removed_at=None).update(removed_at=now)
        return
    until = now + timedelta(days=settings.EXPORT_KEEP_DAYS)
    kept = rows.filter(stored_as="", removed_at=None).update(
        stored_as=made.stored_as,
        size_bytes=made.size_bytes,
        sha256=made.sha256,
        finished_at=now,
        expires_at=until,
        version=F("version") + 1,
    )
    if not kept:
        transaction.on_commit(lambda: default_storage.delete(made.stored_as))
        return
    jobs.write(
        kind=REMOVE_EXPORT,
        contractor_id=job.contractor_id,
        subject_ids=[job.subject_id or 0],
        due_at=until,
    )


def note_fetched(*, export: ExportFile, now: datetime) -> None:
    """Note that a file is fetched. Raises NoFileYet, NotFound."""
    is_over = export.expires_at is not None and export.expires_at <= now
    if export.removed_at is not None or is_over:
        raise NotFound("the file has been removed; ask for it again")
    if export.stored_as == "":
        raise NoFileYet
    if not default_storage.exists(export.stored_as):
        logger.error("export %s: its file is missing", export.pk)
        raise NotFound("the file is missing; ask for it again")
    ExportFile.objects.filter(pk=export.pk).update(fetched_at=now)


def remove(*, export: ExportFile, now: datetime) -> ExportFile:
    """Remove a file; what is removed already stays so. The row stays as the record."""
    rows = ExportFile.objects.filter(pk=export.pk, removed_at=None)
    rows.update(removed_at=now, version=F("version") + 1)
    if export.stored_as:
        stored_as = export.stored_as
        transaction.on_commit(lambda: default_storage.delete(stored_as))
    export.refresh_from_db()
    return export


def remove_expired(job: Job) -> None:
    """Remove the file of a job whose time is over."""
    scope = Scope(contractor_id=job.contractor_id)
    for export in ExportFile.objects.within(scope).filter(pk=job.subject_id or 0):
        remove(export=export, now=timezone.now())


def end_for(*, membership: Membership, at: datetime) -> None:
    """Remove the files of someone who is let go."""
    rows = ExportFile.objects.within(Scope(contractor_id=membership.contractor_id))
    for export in rows.filter(membership_id=membership.pk, removed_at=None):
        remove(export=export, now=at)


def prune(*, before: datetime) -> int:
    """Remove what no row names and is older, such as files of workers that were killed.

    Returns how many there were.
    """
    removed = 0
    for folder in _folders():
        with tenancy.acting_for(contractor_id=int(folder)) as scope:
            rows = ExportFile.objects.within(scope).filter(removed_at=None)
            kept = set(rows.values_list("stored_as", flat=True))
        for name in default_storage.listdir(f"{FOLDER}/{folder}")[1]:
            path = f"{FOLDER}/{folder}/{name}"
            if path not in kept and default_storage.get_modified_time(path) < before:
                default_storage.delete(path)
                removed += 1
    return removed


def _folders() -> list[str]:
    try:
        return [name for name in default_storage.listdir(FOLDER)[0] if name.isdecimal()]
    except FileNotFoundError:
        return []


class _CountedFile(File):  # type: ignore[type-arg]
    """A file on its way into the storage, counted and digested as it goes."""

    def __init__(self, pieces: Iterable[bytes], *, held: Callable[[], None]) -> None:
        super().__init__(None)
        self.pieces = pieces
        self.held = held
        self.size_bytes = 0
        self.digest = hashlib.sha256()

    def chunks(self, chunk_size: int | None = None) -> Iterator[Any]:
        for piece in self.pieces:
            self.size_bytes += len(piece)
            self.digest.update(piece)
            self.held()
            yield piece


def _waiting(scope: Scope) -> list[ExportFile]:
    at_work = Job.objects.filter(
        kind=WRITE_EXPORT, contractor_id=scope.contractor_id, state__in=_AT_WORK
    )
    rows = ExportFile.objects.within(scope).filter(
        membership_id=scope.membership_id or 0, stored_as="", removed_at=None
    )
    return list(rows.filter(pk__in=at_work.values("subject_id")).order_by("pk"))


def _scope_now(export: ExportFile) -> Scope | None:
    """Return what the one who asked may see, if that is what it was then."""
    rows = Membership.objects.usable().filter(
        contractor_id=export.contractor_id,
        role=export.role,
        owner_id=export.owner_id,
    )
    membership = rows.filter(pk=export.membership_id).first()
    if membership is None:
        return None
    scope = middleware.scope_of(membership, token_id=export.token_id)
    return None if middleware.owner_is_gone(scope) else scope
