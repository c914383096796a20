"""Project the wear of machines to their limits and store what may be shown."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from django.db import connection

from fleet.platform.database.tenancy import Scope, acting_for
from fleet.platform.queue.jobs import NotNow
from inspections import newcomers, queries, states, versions
from inspections.forecasts import (
    class_records,
    clocks,
    computing,
    knowledge,
    loading,
    readers,
    results,
    scoring,
    tracks,
)
from inspections.forecasts.answers import PlanningChances
from inspections.forecasts.knowledge import MODEL_VERSION, Knowledge
from inspections.models import (
    ForecastRun,
    Hyperparameters,
    PlanningRule,
    RunCause,
    RunState,
    WearTrack,
)

__all__ = ["MODEL_VERSION", "hold_fleet", "prepare_fleet", "project", "run_fleet"]

# Machines whose series are made anew at a time.
TOGETHER = 100
# What the advisory locks of forecasts have in common: no other code takes this number.
LOCK = 0x524F
# A run of a large fleet takes minutes.
LOOK_AGAIN = timedelta(minutes=1)


def _nothing() -> None:
    """Hold no lease."""


def project(*, scope: Scope, machine_ids: Sequence[int], as_of: datetime) -> int:
    """Forecast machines whose readings or register changed; return how many stand.

    Their series are made anew. The forecasts replace the standing ones of these
    machines in one step; it must be called inside a transaction. Raises
    versions.NewerRules where a newer version has made either, NotNow while the whole
    fleet is being forecast: a worker that waited would look after nobody else.
    """
    # Machine after machine by their ids, so that two runs never wait for each other.
    ordered = sorted(set(machine_ids))
    _lock(scope, ordered)
    _give_way(scope, ordered)
    tracks.prepare(scope=scope, machine_ids=ordered, as_of=as_of)
    run = _begun(scope, RunCause.CHANGE, as_of)
    return _run(scope, run, ordered, as_of, _nothing)


def hold_fleet(*, scope: Scope) -> None:
    """Hold a contractor's fleet until the transaction ends, before any row of it.

    Who takes rows first and the fleet then can stand in the way of a machine's run,
    which takes them the other way round.
    """
    _lock(scope, None)


def prepare_fleet(
    *, contractor_id: int, now: datetime, held: Callable[[], None] = _nothing
) -> None:
    """Make the series anew that an earlier version made, or nobody has.

    A hundred machines in each transaction of its own, so that no single machine waits
    for all of them; `held` is called after each. What forecasts are made of changes,
    the forecasts do not. Newcomers are left to their own jobs. Raises like `project`.
    """
    with acting_for(contractor_id=contractor_id) as scope:
        _give_way(scope, None)
        unready = _unready(scope, _machines(scope), now)
    for start in range(0, len(unready), TOGETHER):
        some = unready[start : start + TOGETHER]
        with acting_for(contractor_id=contractor_id) as scope:
            _lock(scope, some)
            _give_way(scope, some)
            # What was made meanwhile may rest on readings later than `now`.
            still = _unready(scope, some, now)
            if still:
                tracks.prepare(scope=scope, machine_ids=still, as_of=now)
        held()


def run_fleet(
    *, scope: Scope, run_id: int, now: datetime, held: Callable[[], None] = _nothing
) -> int:
    """Forecast every machine in service of a contractor; return how many stand.

    All of it becomes current in one transaction or none of it: whoever looks meanwhile
    sees yesterday's forecasts. A run that is done already is left alone. `held` is
    called after every chunk. Raises versions.NewerRules like `project`.
    """
    _lock(scope, None)
    run = ForecastRun.objects.within(scope).get(pk=run_id)
    if run.state != RunState.WAITING:
        return int(run.forecasts)
    _give_way(scope, None)
    run.started_at = now
    # What came in since the fleet was prepared.
    machines = _machines(scope)
    unready = _unready(scope, machines, now)
    for start in range(0, len(unready), TOGETHER):
        some = unready[start : start + TOGETHER]
        tracks.prepare(scope=scope, machine_ids=some, as_of=now)
    ForecastRun.objects.within(scope).filter(
        cause=RunCause.NIGHT, state=RunState.WAITING, pk__lt=run.pk
    ).update(state=RunState.SUPERSEDED)
    return _run(scope, run, machines, now, held)


def _machines(scope: Scope) -> list[int]:
    return list(queries.active_machines(scope=scope).values_list("pk", flat=True))


def _unready(scope: Scope, machine_ids: Sequence[int], now: datetime) -> list[int]:
    """Return those of some machines that have no series of this version.

    Not those that are about to be judged for the first time: theirs come with limits.
    """
    ready = set(
        WearTrack.objects.within(scope)
        .filter(machine__in=machine_ids, prepared_by=tracks.PREPARED_BY)
        .values_list("machine_id", flat=True)
        .distinct()
    )
    unready = [pk for pk in machine_ids if pk not in ready]
    new = newcomers.among(scope=scope, machine_ids=unready, now=now)
    return [pk for pk in unready if pk not in new]


def _give_way(scope: Scope, machine_ids: Sequence[int] | None) -> None:
    """Leave the work to a newer version where one has done it before."""
    runs = ForecastRun.objects.within(scope).filter(state=RunState.DONE)
    made = WearTrack.objects.within(scope)
    if machine_ids is not None:
        made = made.filter(machine__in=machine_ids)
    last = runs.order_by("-pk").values_list("model_version", flat=True).first()
    versions.give_way(mine=MODEL_VERSION, stored=[last] if last else [])
    stored = made.order_by().values_list("prepared_by", flat=True).distinct()
    versions.give_way(mine=tracks.PREPARED_BY, stored=stored)


def order_run(*, scope: Scope, now: datetime) -> int:
    """Return the id of a new run that waits for its turn."""
    return _begun(scope, RunCause.NIGHT, now).pk


def _begun(scope: Scope, cause: str, now: datetime) -> ForecastRun:
    return ForecastRun.objects.create(
        contractor_id=scope.contractor_id,
        cause=cause,
        started_at=now,
        model_version=MODEL_VERSION,
    )


def _run(
    scope: Scope,
    run: ForecastRun,
    machine_ids: Sequence[int],
    as_of: datetime,
    held: Callable[[], None],
) -> int:
    learnt, row = knowledge.latest(scope=scope)
    known = replace(learnt, factors=class_records.factors(scope=scope))
    effects = readers.of_row(row)
    cautions = results.standing_cautions(
        scoring.doubts(scope=scope), not_fitted=known.not_fitted
    )
    rule = planning_rule(scope)
    results.begin()
    for some in loading.chunks(machine_ids=machine_ids):
        found = readers.counted(loading.load(machine_ids=some), effects=effects)
        answers = computing.compute(
            tracks=found,
            known=known,
            counters=_counters(scope, known, some, as_of),
            rule=rule,
            as_of=as_of,
        )
        run.forecasts += results.store(
            answers=answers,
            contractor_id=scope.contractor_id,
            run_id=run.pk,
            as_of=as_of,
            model_version=MODEL_VERSION,
            learnt_id=row.pk if row else None,
            cautions=cautions,
        )
        run.machines += len(some)
        run.tracks += found.count
        run.readings += int(found.point_id.size)
        held()
    results.end()
    states.refresh(scope=scope, today=as_of.date(), machine_ids=machine_ids)
    _finish(run, row, as_of)
    return run.forecasts


def _finish(run: ForecastRun, row: Hyperparameters | None, now: datetime) -> None:
    run.state = RunState.DONE
    run.finished_at = now
    # whoever ordered it, this code has done it
    run.model_version = MODEL_VERSION
    run.hyperparameters = row
    run.save()


def planning_rule(scope: Scope) -> PlanningChances:
    """Return how cautiously a contractor plans; ours where it says nothing."""
    row = PlanningRule.objects.within(scope).first()
    if row is None:
        return PlanningChances()
    return PlanningChances(
        safety=row.safety_probability,
        comfort=row.comfort_probability,
        pull_forward=row.pull_forward_chance,
    )


def _counters(
    scope: Scope, known: Knowledge, machine_ids: Sequence[int], as_of: datetime
) -> clocks.Counters | None:
    if not known.typical_trips:
        return None
    # The fleet's usage is that of the same machines whatever the chunk is.
    fleet = queries.active_machines(scope=scope).values_list("pk", flat=True)
    wanted = sorted({*machine_ids, *fleet[: clocks.SAMPLE]})
    return clocks.counters(scope=scope, machine_ids=wanted, until=as_of)


def _lock(scope: Scope, machine_ids: Sequence[int] | None) -> None:
    """Wait for other runs on the same machines; a fleet's run waits for all others.

    Advisory locks end with the transaction, however it ends. Raises NotNow where
    machines of a fleet are asked for that is being forecast as a whole.
    """
    contractor = scope.contractor_id % 2**31
    with connection.cursor() as cursor:
        if machine_ids is None:
            cursor.execute("SELECT pg_advisory_xact_lock(%s, %s)", [LOCK, contractor])
            return
        cursor.execute(
            "SELECT pg_try_advisory_xact_lock_shared(%s, %s)", [LOCK, contractor]
        )
        if not cursor.fetchone()[0]:
            raise NotNow("the whole fleet is being forecast", wait=LOOK_AGAIN)
        # In their order, which the rows of an array keep.
        cursor.execute(
            "SELECT pg_advisory_xact_lock(%s, number) FROM unnest(%s::int[]) AS number",
            [LOCK + 1, [machine_id % 2**31 for machine_id in machine_ids]],
        )
