"""Celery's edge: each task takes the id of its job and calls one activity."""

from collections.abc import Sequence
from contextlib import closing
from datetime import datetime

from celery import shared_task
from django.utils import timezone

from fleet.models import Job
from fleet.platform import outbox
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import DomainError
from fleet.platform.queue import jobs, tasks, together
from fleet.platform.queue.headway import Headway
from inspections import assessment, forecasts, options, queries, states, urgent
from inspections.intake.accepting import ASSESS
from inspections.stops import alerting, escalating, holding, retiring, taking_over

LEARN = "inspections.tasks.learn"
FORECAST_FLEET = "inspections.tasks.forecast_fleet"


@shared_task(name=ASSESS, throws=(DomainError,))
def assess(*, job_id: int, **_: object) -> None:
    """Assess a machine and its neighbours, unless that has been done already."""
    tasks.perform_together(job_id=job_id, activity=_assess)


@shared_task(name=assessment.PROJECT, throws=(DomainError,))
def project(*, job_id: int, **_: object) -> None:
    """Forecast the wear of a machine and its neighbours."""
    tasks.perform_together(job_id=job_id, activity=_project)


@shared_task(name="inspections.tasks.nightly", throws=(DomainError,))
def nightly(*, job_id: int, **_: object) -> None:
    """Queue the night's work of one contractor."""
    tasks.perform(job_id=job_id, activity=_nightly)


@shared_task(name=LEARN, throws=(DomainError,))
def learn(*, job_id: int, **_: object) -> None:
    """Learn from one contractor's fleet; renew what all contractors share."""
    tasks.perform(job_id=job_id, activity=_learn)
    forecasts.learning.pool(now=timezone.now())


@shared_task(name=FORECAST_FLEET, throws=(DomainError,))
def forecast_fleet(*, job_id: int, **_: object) -> None:
    """Score past forecasts of one contractor, then forecast its whole fleet."""
    jobs.perform_in_two(
        job_id=job_id,
        make=_prepare_fleet,
        store=lambda job, _: _forecast_fleet(job),
        clock=timezone.now,
    )


@shared_task(name=options.OF_MACHINE, throws=(DomainError,))
def work_out_options(*, job_id: int, **_: object) -> None:
    """Work out what can be done about a machine and its neighbours."""
    tasks.perform_together(job_id=job_id, activity=_options)


@shared_task(name=options.OF_CHUNK, throws=(DomainError,))
def work_out_options_of_chunk(*, job_id: int, **_: object) -> None:
    """Work out what can be done about the machines from one on, a chunk of them."""
    tasks.perform(job_id=job_id, activity=_options_of_chunk)


@shared_task(name=urgent.WARN, throws=(DomainError,))
def warn(*, job_id: int, **_: object) -> None:
    """Send one urgent mail, unless that has been done already."""
    outbox.carry_out(job_id=job_id, outbox=urgent.OUTBOX)


@shared_task(name=taking_over.TAKE_OVER, throws=(DomainError,))
def take_over_stops(*, job_id: int, **_: object) -> None:
    """Raise the stops of findings that stood before there were stops."""
    tasks.perform(job_id=job_id, activity=_take_over_stops)


@shared_task(name=escalating.ESCALATE, throws=(DomainError,))
def escalate_stop(*, job_id: int, **_: object) -> None:
    """Tell the next on the list of a stop that nobody has acknowledged."""
    tasks.perform(job_id=job_id, activity=_escalate_stop)


def _escalate_stop(job: Job) -> None:
    scope, now = Scope(contractor_id=job.contractor_id), timezone.now()
    event = escalating.next_told(scope=scope, stop_id=job.subject_id or 0, now=now)
    if event is not None:
        urgent.tell_of_stops(scope=scope, events=[event], person=event.told[0], now=now)


def _remind_of_stops(scope: Scope, now: datetime) -> None:
    for person, events in escalating.due_reminders(scope=scope, now=now).items():
        urgent.tell_of_stops(scope=scope, events=events, person=person, now=now)


def _take_over_stops(job: Job) -> None:
    taking_over.take_over(
        scope=Scope(contractor_id=job.contractor_id), now=timezone.now()
    )


@shared_task(name=urgent.TELL_TOGETHER, throws=(DomainError,))
def tell_together(*, job_id: int, **_: object) -> None:
    """Write the mails on what corrected rules stop, one for each of the office."""
    tasks.perform(job_id=job_id, activity=_tell_together)


def _tell_together(job: Job) -> None:
    urgent.tell_together(
        scope=Scope(contractor_id=job.contractor_id), now=timezone.now()
    )


def _assess(some: Sequence[Job]) -> None:
    scope, machine_ids = _machines(some)
    assess_now(scope=scope, machine_ids=machine_ids)


def assess_now(*, scope: Scope, machine_ids: Sequence[int]) -> None:
    """Assess machines in the caller's transaction, and tell of what it stops."""
    now = timezone.now()
    ids = assessment.assess(scope=scope, machine_ids=machine_ids, as_of=now)
    urgent.tell_of_findings(scope=scope, machine_ids=machine_ids, now=now)
    tasks.wake_after_commit(job_ids=ids, kind=assessment.PROJECT, every=together.MOST)


def _project(some: Sequence[Job]) -> None:
    now = timezone.now()
    scope, machine_ids = _machines(some)
    forecasts.project(scope=scope, machine_ids=machine_ids, as_of=now)
    # In the same transaction: new forecasts without new options are not seen.
    ids = jobs.write(
        kind=options.OF_MACHINE,
        contractor_id=scope.contractor_id,
        subject_ids=machine_ids,
        due_at=now,
    )
    tasks.wake_after_commit(job_ids=ids, kind=options.OF_MACHINE, every=together.MOST)


def _options(some: Sequence[Job]) -> None:
    scope, machine_ids = _machines(some)
    options.recompute(scope=scope, machine_ids=machine_ids, as_of=timezone.now())


def _machines(some: Sequence[Job]) -> tuple[Scope, list[int]]:
    """Return the machines that jobs of one contractor are about."""
    scope = Scope(contractor_id=some[0].contractor_id)
    return scope, [job.subject_id or 0 for job in some]


def _options_of_chunk(job: Job) -> None:
    options.recompute_chunk(
        scope=Scope(contractor_id=job.contractor_id),
        first_id=job.subject_id or 0,
        as_of=timezone.now(),
    )


def _nightly(job: Job) -> None:
    """Write the jobs of the night: look at every machine, learn, forecast the fleet."""
    scope, now = Scope(contractor_id=job.contractor_id), timezone.now()
    holding.hold_standing(scope=scope)
    retiring.follow(scope=scope, now=now)
    taking_over.take_over(scope=scope, now=now)
    alerting.look(scope=scope, now=now)
    _remind_of_stops(scope, now)
    # What no other job has worked out, or what a day has changed.
    states.refresh(scope=scope, today=now.date())
    machines = queries.active_machines(scope=scope).values_list("pk", flat=True)
    run_id = forecasts.order_run(scope=scope, now=now)
    subjects = {ASSESS: list(machines), FORECAST_FLEET: [run_id]}
    if forecasts.learning.is_due(scope=scope, now=now):
        subjects[LEARN] = [job.contractor_id]
    for kind, ids in subjects.items():
        written = jobs.write(
            kind=kind, contractor_id=job.contractor_id, subject_ids=ids, due_at=now
        )
        every = together.MOST if kind == ASSESS else 1
        tasks.wake_after_commit(job_ids=written, kind=kind, every=every)


def _learn(job: Job) -> None:
    now = timezone.now()
    scope = Scope(contractor_id=job.contractor_id)
    if forecasts.learning.is_due(scope=scope, now=now):
        forecasts.learning.learn(scope=scope, now=now)


def _prepare_fleet(job: Job) -> None:
    with closing(Headway(job, clock=timezone.now)) as headway:
        forecasts.prepare_fleet(
            contractor_id=job.contractor_id, now=timezone.now(), held=headway.hold
        )


def _forecast_fleet(job: Job) -> None:
    scope, now = Scope(contractor_id=job.contractor_id), timezone.now()
    forecasts.hold_fleet(scope=scope)
    forecasts.scoring.score(scope=scope, now=now)
    with closing(Headway(job, clock=timezone.now)) as headway:
        forecasts.run_fleet(
            scope=scope, run_id=job.subject_id or 0, now=now, held=headway.hold
        )
    ids = options.order_all(scope=scope, now=now)
    # Each takes seconds: two at a time, then it is somebody else's turn.
    tasks.wake_after_commit(job_ids=ids, kind=options.OF_CHUNK, a_turn=2)
