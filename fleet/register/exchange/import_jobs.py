"""Long files that a worker brings in: asked for, done whole or not at all, answered.

What a file does and its answer are one transaction with the end of the job.
"""

import hashlib
from collections.abc import Callable
from contextlib import closing
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from django.conf import settings
from django.db import transaction
from django.utils import timezone
from django.utils.module_loading import import_string

from fleet.platform import security_log
from fleet.platform.access import middleware
from fleet.platform.choices import JobState, Role
from fleet.platform.database import tenancy
from fleet.platform.database.tenancy import Actor, Scope
from fleet.platform.errors import Conflict, DomainError
from fleet.platform.models import Contractor, Job, Membership
from fleet.platform.queue import jobs, tasks
from fleet.platform.queue.headway import Headway
from fleet.register import quotas
from fleet.register.exchange import importing
from fleet.register.exchange.dialect import Dialect
from fleet.register.exchange.register import RESOURCES
from fleet.register.models import ImportFile

BRING_IN = "fleet.tasks.bring_in_file"
# Files of one contractor that wait: each holds its bytes.
MOST_WAITING = 5
REFUSED, TAKEN = 422, 200
_AT_WORK = (JobState.QUEUED, JobState.RUNNING)

Tell = Callable[[int, int], None]


class TooManyImports(Conflict):
    """So many long files wait already; send this one when one of them is done."""

    code = "too-many-imports"


@dataclass(frozen=True, slots=True, kw_only=True)
class BroughtIn:
    """What became of a file: the answer, and the jobs that it left."""

    status: int
    answer: dict[str, Any]
    job_kind: str = ""
    job_ids: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """A file as it came, and how it is to be read."""

    name: str
    content: bytes
    dialect: Dialect
    dry_run: bool


def is_long(content: bytes) -> bool:
    """Tell whether a file is left to a worker, by its lines."""
    return content.count(b"\n") > settings.IMPORT_ROWS_AT_ONCE


def ask(*, scope: Scope, given: Given, now: datetime) -> tuple[ImportFile, list[int]]:
    """Keep a long file and queue its job; the same file that waits already is that one.

    Must be called in a transaction. Raises TooManyImports.
    """
    # Locked, so that two at once do not pass the most that may wait.
    Membership.objects.select_for_update(no_key=True).get(pk=scope.membership_id or 0)
    sha256 = hashlib.sha256(given.content).hexdigest()
    as_told: dict[str, Any] = {"name": given.name, "dialect": asdict(given.dialect)}
    as_told |= {"dry_run": given.dry_run, "sha256": sha256}
    waiting = ImportFile.objects.within(scope).filter(finished_at=None)
    waiting = waiting.filter(pk__in=_subjects_at_work(scope))
    same = waiting.filter(membership_id=scope.membership_id, **as_told).first()
    if same is not None:
        return same, []
    if waiting.count() >= MOST_WAITING:
        raise TooManyImports
    row = ImportFile.objects.create(
        contractor_id=scope.contractor_id,
        membership_id=scope.membership_id or 0,
        token_id=scope.token_id,
        content=given.content,
        **as_told,
    )
    ids = jobs.write(
        kind=BRING_IN,
        contractor_id=scope.contractor_id,
        subject_ids=[row.pk],
        due_at=now,
    )
    security_log.tell("import-asked", file=row.pk, name=given.name)
    return row, ids


def job_of(row: ImportFile) -> Job | None:
    """Return the job that brings a file in, until it is forgotten."""
    found = Job.objects.filter(
        kind=BRING_IN, contractor_id=row.contractor_id, subject_id=row.pk
    )
    return found.order_by("-pk").first()


def bring_in(job: Job) -> None:
    """Bring the file of a job in, as whoever sent it, and keep the answer.

    Who sent it must still be someone of the office; else nothing is stored.
    """
    server = Scope(contractor_id=job.contractor_id)
    rows = ImportFile.objects.within(server).filter(finished_at=None)
    row = rows.filter(pk=job.subject_id or 0).first()
    if row is None:
        return
    with closing(Headway(job, clock=timezone.now)) as headway:
        result = _result(row, tell=headway.tell)
    ImportFile.objects.within(server).filter(pk=row.pk).update(
        content=None,
        status=result.status,
        answer=result.answer,
        finished_at=timezone.now(),
    )
    if result.job_ids:
        tasks.wake_after_commit(job_ids=list(result.job_ids), kind=result.job_kind)


def prune(*, before: datetime) -> int:
    """Forget files from before a time, answered or failed; return how many."""
    forgotten = 0
    for contractor_id in Contractor.objects.order_by("pk").values_list("pk", flat=True):
        with tenancy.acting_for(contractor_id=contractor_id) as scope:
            rows = ImportFile.objects.within(scope).filter(created_at__lt=before)
            rows = rows.exclude(pk__in=_subjects_at_work(scope))
            forgotten += rows.delete()[0]
    return forgotten


def _result(row: ImportFile, *, tell: Tell) -> BroughtIn:
    membership = Membership.objects.usable().filter(
        contractor_id=row.contractor_id, pk=row.membership_id, role=Role.OFFICE
    )
    sender = membership.first()
    if sender is None:
        return _refused("sender-left", "Whoever sent it is no longer in the office.")
    scope = middleware.scope_of(sender, token_id=row.token_id)
    tenancy.act_as(
        Actor(
            membership_id=sender.pk,
            token_id=row.token_id,
            person_id=sender.person_id,
            via=f"POST /api/v1/imports/{row.name}",
        )
    )
    given = Given(
        name=row.name,
        content=bytes(row.content or b""),
        dialect=Dialect(**row.dialect),
        dry_run=row.dry_run,
    )
    do: Any = import_string(settings.IMPORTERS.get(row.name, settings.IMPORTERS[""]))
    try:
        # Whatever is refused late, such as by a quota, leaves nothing behind.
        with transaction.atomic():
            result: BroughtIn = do(
                scope=scope, given=given, now=timezone.now(), tell=tell
            )
    except DomainError as problem:
        return _refused(problem.code, problem.detail)
    return result


def bring_in_register(
    *, scope: Scope, given: Given, now: datetime, tell: Tell, resource: Any = None
) -> BroughtIn:
    """Bring a file of the register in. Must be called in a transaction."""
    file = importing.File(
        resource=resource or RESOURCES[given.name], content=given.content
    )
    with quotas.on_machines(scope=scope):
        [outcome] = importing.bring_in(
            scope=scope,
            files=[file],
            dialect=given.dialect,
            dry_run=given.dry_run,
            tell=tell,
        )
    kind = settings.REGISTER_CHANGE_JOB
    ids = importing.reassess(scope=scope, outcomes=[outcome], kind=kind, now=now)
    return answered(
        answer=outcome.as_json(),
        is_refused=bool(outcome.errors) and not given.dry_run,
        job_kind=kind,
        job_ids=ids,
    )


def answered(
    *, answer: dict[str, Any], is_refused: bool, job_kind: str, job_ids: Any
) -> BroughtIn:
    """Return what became of a file that could be read."""
    return BroughtIn(
        status=REFUSED if is_refused else TAKEN,
        answer=answer,
        job_kind=job_kind,
        job_ids=tuple(job_ids),
    )


def _refused(code: str, detail: str) -> BroughtIn:
    return BroughtIn(status=REFUSED, answer={"code": code, "detail": detail})


def _subjects_at_work(scope: Scope) -> Any:
    at_work = Job.objects.filter(
        kind=BRING_IN, contractor_id=scope.contractor_id, state__in=_AT_WORK
    )
    return at_work.values("subject_id")
