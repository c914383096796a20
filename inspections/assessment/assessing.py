"""Assess machines: load, judge topic by topic, store what has changed."""

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from fleet.platform.database.tenancy import Scope
from fleet.platform.queue import jobs
from inspections import inputs, states, versions
from inspections.assessment import (
    basis,
    blocked_work,
    bottoms,
    carrying,
    changes,
    checks,
    creep,
    crown_steps,
    facts,
    gauges,
    grading,
    hardened,
    knowing,
    machined,
    pairs,
    pressure,
    pulleys,
    renewing,
    rim_limits,
    rim_metal,
    ropes,
    rules,
    running,
    seat_depths,
    seat_fit,
    seen,
    sets,
    storing,
    strength,
    tension_action,
    traction,
    traction_tests,
    waves,
    ways,
    worse,
)
from inspections.assessment.draft import Draft, LimitDraft, merged, not_assessed, plain
from inspections.assessment.known import Known
from inspections.engineering import criteria
from inspections.inputs import Snapshot
from inspections.models import Cause
from inspections.reasons import Code, Topic, because
from inspections.reasons.serial import term_of

PROJECT = "inspections.tasks.project"
# Machines loaded, judged and stored at a time: enough to share the queries, few
# enough that their readings do not fill the memory.
TOGETHER = 100
_GAPS_NAMED = 4
# Beside the shared numbers: what was looked at.
CHECKS = "checks"

_Fresh = tuple[Snapshot, dict[str, Any], str, Cause]
Judged = tuple[list[Draft], list[LimitDraft], dict[str, Any]]


def assess(
    *, scope: Scope, machine_ids: Sequence[int], as_of: datetime
) -> tuple[int, ...]:
    """Assess machines and store their findings and limits.

    A machine whose inputs and rules are those of its last assessment is left as it is,
    so a second run changes nothing; so is one of which newer rules say the same. The
    jobs that project the changed machines are written with the findings; their ids are
    returned. Raises versions.NewerRules where newer rules have judged and a machine has
    changed since.
    """
    changed: list[int] = []
    # In the order of their ids, so that two runs wait for each other and not both.
    ordered = sorted(set(machine_ids))
    for start in range(0, len(ordered), TOGETHER):
        some = ordered[start : start + TOGETHER]
        changed += _assess(scope, some, as_of)
        states.refresh(scope=scope, today=as_of.date(), machine_ids=some)
    return tuple(
        jobs.write(
            kind=PROJECT,
            contractor_id=scope.contractor_id,
            subject_ids=changed,
            due_at=as_of,
        )
    )


def _assess(scope: Scope, machine_ids: Sequence[int], as_of: datetime) -> list[int]:
    """Assess some machines; return those whose findings changed."""
    last = storing.last_assessments(scope=scope, machine_ids=machine_ids)
    made = anew(scope=scope, machine_ids=machine_ids, last=last, as_of=as_of)
    outcomes = [each for each in made if each.cause != Cause.RULES]
    outcomes += renewing.renew(
        scope=scope,
        pairs=[(last[o.machine_id].pk, o) for o in made if o.cause == Cause.RULES],
    )
    storing.store(scope=scope, outcomes=outcomes)
    return [outcome.machine_id for outcome in outcomes]


def anew(
    *,
    scope: Scope,
    machine_ids: Sequence[int],
    last: Mapping[int, storing.LastAssessment],
    as_of: datetime,
) -> list[storing.JudgedMachine]:
    """Return what is said now of machines whose inputs or rules have changed.

    Nothing is written. Raises versions.NewerRules as `assess` does.
    """
    snapshots = inputs.load(scope=scope, machine_ids=machine_ids, as_of=as_of)
    differing: list[tuple[Snapshot, dict[str, Any], str]] = []
    for snapshot in snapshots:
        rows = facts.of(snapshot)
        digest = hashlib.sha256(facts.canonical(rows)).hexdigest()
        before = last.get(snapshot.machine.pk)
        if before is None or before.digest != digest:
            differing.append((snapshot, rows, digest))
    ids = [s.machine.pk for s, *_ in differing]
    earlier_facts = storing.facts(
        scope=scope, assessments=[last[pk].pk for pk in ids if pk in last]
    )
    fresh: list[_Fresh] = []
    for snapshot, rows, digest in differing:
        pk = snapshot.machine.pk
        cause = rules.cause(facts=rows, before=earlier_facts.get(pk))
        if not _left_alone(last.get(pk), cause):
            fresh.append((snapshot, rows, digest, cause))
    doubted = [s.machine.pk for s, *_ in fresh if facts.unconfirmed(s)]
    earlier = storing.open_findings(
        scope=scope, assessments=[last[pk].pk for pk in doubted if pk in last]
    )
    outcomes = []
    for snapshot, rows, digest, cause in fresh:
        drafts, limits, shared = judge(snapshot)
        looked_at = shared.pop(CHECKS)
        pk = snapshot.machine.pk
        drafts = carrying.carried_over(drafts, earlier.get(pk, ()))
        outcomes.append(
            storing.JudgedMachine(
                machine_id=pk,
                as_of=as_of,
                criteria_set=snapshot.criteria.code,
                kernel_version=str(versions.JUDGING),
                inputs={"rows": rows, "shared": shared},
                inputs_digest=digest,
                grade=grading.of_machine(drafts, complete=not looked_at["missed"]),
                checks=looked_at,
                drafts=tuple(drafts),
                limits=tuple(limits),
                cause=cause,
            )
        )
    return outcomes


def _left_alone(before: storing.LastAssessment | None, cause: Cause) -> bool:
    """Tell whether newer rules have said already what these older ones would say.

    Raises NewerRules where they have not: the job waits for a worker that has them.
    """
    if before is None:
        return False
    mine = str(versions.JUDGING)
    if cause == Cause.RULES:
        return versions.is_older(version=mine, than=before.version)
    versions.give_way(mine=mine, stored=[before.version])
    return False


def judge(snapshot: Snapshot) -> Judged:
    """Return every finding of one machine, the limits that bind, and what they share.

    A finding's detail names what it takes from the shared numbers; beside them stands
    how much of the least set of checks was made.
    """
    whole = knowing.know(snapshot)
    worn = traction.findings(whole)
    of_ropes, rope_limits = ropes.findings(whole)
    of_machine, machine_limits = running.findings(whole)
    drafts = [
        *worn.drafts,
        *bottoms.findings(whole),
        *seat_fit.findings(whole),
        *ways.findings(whole),
        *changes.findings(whole),
        *worse.over_masses(whole, seat_depths.findings),
        *crown_steps.findings(whole),
        *worse.over_masses(whole, pairs.findings),
        *pulleys.findings(whole),
        *hardened.findings(whole),
        *machined.findings(whole),
        *pressure.findings(whole),
        *worse.over_masses(whole, creep.findings),
        *of_ropes,
        *strength.findings(whole),
        *rim_metal.findings(whole),
        *rim_limits.findings(whole),
        *sets.findings(whole),
        *tension_action.findings(whole),
        *worse.over_masses(whole, waves.findings),
        *of_machine,
        *seen.findings(whole),
        *traction_tests.findings(whole),
        *gauges.findings(whole),
        *(whole.supposed or whole).differing,
    ]
    drafts += blocked_work.findings(whole, drafts)
    drafts += _gaps(snapshot)
    of_seats = rim_limits.first(worn.limits, rim_limits.of_round_grooves(whole))
    limits = [*of_seats, *rope_limits, *machine_limits, *pulleys.limits(whole)]
    looked_at = checks.completeness(whole, drafts).as_json()
    shared = _shared(whole) | {CHECKS: looked_at}
    return merged(_doubted(snapshot, drafts)), limits, shared


def _doubted(snapshot: Snapshot, drafts: Sequence[Draft]) -> Iterator[Draft]:
    """Yield the drafts, those that rest on an unconfirmed reading marked so."""
    doubted = facts.unconfirmed(snapshot)
    for draft in drafts:
        if doubted and not doubted.isdisjoint(draft.readings):
            yield replace(draft, unconfirmed=True)
        else:
            yield draft


def _shared(whole: Known) -> dict[str, Any]:
    """Return the numbers that several findings of the machine rest on, once."""
    shared: dict[str, Any] = plain(
        {
            "suspension": whole.suspension,
            basis.OTHER_MASSES: basis.others_of(whole),
            basis.CARRIED_CAR: whole.carried.car_mass_kg if whole.carried else None,
            "groove_as_cut": whole.groove,
            "groove_kind": type(whole.groove).__name__ if whole.groove else None,
            "rules": whole.rules,
            "register_spread": whole.spread,
            "depth_limits": whole.limits,
            basis.FOR_WORK: basis.for_work(whole),
        }
    )
    return shared


def _gaps(snapshot: Snapshot) -> list[Draft]:
    """Say that the criteria set has gaps, once, with the first of them."""
    found = criteria.gaps(criteria_set=snapshot.criteria)
    if not found:
        return []
    first = tuple(term_of(gap.key) for gap in found[:_GAPS_NAMED])
    given: dict[str, Any] = {"set": snapshot.criteria.code, "items": first}
    reason = because(Code.SET_GAPS, **given)
    if len(found) > _GAPS_NAMED:
        more = len(found) - _GAPS_NAMED
        reason = because(Code.SET_GAPS_MORE, **given, more=more)
    return [not_assessed(topic=Topic.SET_GAPS, reason=reason)]
