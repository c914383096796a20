"""Work out the options of machines and store what has changed."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from fleet.platform.queue import jobs
from inspections import inputs, newcomers, queries, versions
from inspections.decisions import options
from inspections.decisions.records import MachineFacts, Option
from inspections.inputs import CurrentTerms, Snapshot
from inspections.options import due, facts, loading, storing
from inspections.options.loading import Judged

OF_MACHINE = "inspections.tasks.options"
OF_CHUNK = "inspections.tasks.options_of_chunk"
RULES_VERSION = str(versions.DECIDING)
# Machines whose options are worked out in one transaction.
CHUNK = 200
# Machines loaded at a time: enough to share the queries, few enough for the memory.
TOGETHER = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class _Fresh:
    """A machine whose options are to be worked out."""

    judged: Judged
    digest: str


def recompute(*, scope: Scope, machine_ids: Sequence[int], as_of: datetime) -> int:
    """Work out the options of machines; return of how many they were stored anew.

    A machine of which everything is as it was is left alone, so that a second run
    changes nothing. Call it inside a transaction: options and the list of what is due
    change together or not at all. Raises versions.NewerRules where newer rules have
    worked out any of them.
    """
    ordered = sorted(set(machine_ids))
    terms = inputs.standing_terms(scope=scope)
    stored = 0
    for start in range(0, len(ordered), TOGETHER):
        stored += _some(scope, ordered[start : start + TOGETHER], terms, as_of)
    return stored


def recompute_chunk(*, scope: Scope, first_id: int, as_of: datetime) -> int:
    """Work out the options of the machines in service from an id on, a chunk of them.

    Chunks that overlap because machines came or went do the same work twice, and no
    harm. Newcomers are left to their own jobs.
    """
    rows = queries.active_machines(scope=scope).filter(pk__gte=first_id)
    ids = list(rows.values_list("pk", flat=True)[:CHUNK])
    new = newcomers.among(scope=scope, machine_ids=ids, now=as_of)
    some = [pk for pk in ids if pk not in new]
    return recompute(scope=scope, machine_ids=some, as_of=as_of)


def order_all(*, scope: Scope, now: datetime) -> list[int]:
    """Queue the jobs that work out the options of all machines in service."""
    ids = list(queries.active_machines(scope=scope).values_list("pk", flat=True))
    return jobs.write(
        kind=OF_CHUNK,
        contractor_id=scope.contractor_id,
        subject_ids=ids[::CHUNK],
        due_at=now,
    )


def _some(
    scope: Scope, machine_ids: Sequence[int], terms: CurrentTerms, as_of: datetime
) -> int:
    _lock(scope, machine_ids)
    found = loading.judged(scope=scope, machine_ids=machine_ids)
    last = storing.last(scope=scope, machine_ids=machine_ids)
    versions.give_way(
        mine=RULES_VERSION, stored={each.version for each in last.values()}
    )
    fresh = {}
    for pk, judged in found.items():
        digest = loading.digest(
            judged=judged, terms=terms.rows, rules=RULES_VERSION, day=as_of.date()
        )
        if pk not in last or last[pk].digest != digest:
            fresh[pk] = _Fresh(judged=judged, digest=digest)
    snapshots = inputs.load(scope=scope, machine_ids=list(fresh), as_of=as_of)
    worked_out = [
        _worked_out(snapshot, fresh[snapshot.machine.pk], terms, as_of)
        for snapshot in snapshots
    ]
    storing.store(scope=scope, worked_out=worked_out, as_of=as_of)
    due.refresh(scope=scope, machine_ids=[each.machine.pk for each in worked_out])
    return len(worked_out)


def _worked_out(
    snapshot: Snapshot, fresh: _Fresh, terms: CurrentTerms, as_of: datetime
) -> storing.WorkedOut:
    known = facts.facts_of(snapshot=snapshot, judged=fresh.judged)
    return storing.WorkedOut(
        machine=snapshot.machine,
        judged=fresh.judged,
        digest=fresh.digest,
        rules=RULES_VERSION,
        terms=terms.rows,
        rope_set=snapshot.rope_set,
        facts=known,
        options=by_terms(known, terms, as_of),
    )


def by_terms(
    known: MachineFacts, terms: CurrentTerms, as_of: datetime
) -> tuple[Option, ...]:
    """Return the options of a machine by the contractor's own terms."""
    return options.work_out(
        facts=known,
        rates=terms.rates,
        lead_times=terms.lead_times,
        thresholds=terms.thresholds,
        as_of=as_of.date(),
    )


def _lock(scope: Scope, machine_ids: Sequence[int]) -> None:
    """Hold the machines' rows, by their ids: two runs on one follow each other."""
    list(
        Machine.objects.within(scope)
        .filter(pk__in=machine_ids)
        .order_by("pk")
        .select_for_update(no_key=True)
        .values_list("pk")
    )
