"""Assess machines: load, judge topic by topic, store what has changed."""

import hashlib
import json
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from fleet import jobs
from fleet.tenancy import Scope
from inspections import inputs
from inspections.assessment import grading, grooves, rims, ropes, running, sets, storing
from inspections.assessment.draft import Draft, LimitDraft, merged, not_assessed
from inspections.engineering import criteria
from inspections.inputs import Snapshot

# Raised whenever the same inputs could give another finding.
KERNEL_VERSION = "1"
PROJECT = "inspections.tasks.project"


def assess(
    *, scope: Scope, machine_ids: Sequence[int], as_of: datetime
) -> tuple[int, ...]:
    """Assess machines and store their findings and limits.

    A machine whose inputs are those of its last assessment is left as it is, so a
    second run changes nothing. The jobs that project the changed machines are
    written with the findings; their ids are returned.
    """
    changed: list[storing.Outcome] = []
    stored = storing.last_digests(scope=scope, machine_ids=machine_ids)
    for snapshot in inputs.load(scope=scope, machine_ids=machine_ids, as_of=as_of):
        facts = _facts(snapshot)
        digest = hashlib.sha256(_canonical(facts)).hexdigest()
        if stored.get(snapshot.machine.pk) == digest:
            continue
        drafts, limits = judge(snapshot)
        changed.append(
            storing.Outcome(
                machine_id=snapshot.machine.pk,
                as_of=as_of,
                criteria_set=snapshot.criteria.code,
                kernel_version=KERNEL_VERSION,
                inputs=facts,
                inputs_digest=digest,
                grade=grading.of_machine(drafts),
                drafts=tuple(drafts),
                limits=tuple(limits),
            )
        )
    storing.store(scope=scope, outcomes=changed)
    return tuple(
        jobs.write(
            kind=PROJECT,
            contractor_id=scope.contractor_id,
            subject_ids=[outcome.machine_id for outcome in changed],
            due_at=as_of,
        )
    )


def judge(snapshot: Snapshot) -> tuple[list[Draft], list[LimitDraft]]:
    """Return every finding of one machine, and the limits that bind its wear."""
    worn = grooves.findings(snapshot)
    of_ropes, rope_limits = ropes.findings(snapshot)
    of_machine, machine_limits = running.findings(snapshot)
    drafts = [
        *worn.drafts,
        *of_ropes,
        *rims.findings(snapshot),
        *sets.findings(snapshot),
        *of_machine,
        *_gaps(snapshot),
    ]
    return merged(drafts), [*worn.limits, *rope_limits, *machine_limits]


def _gaps(snapshot: Snapshot) -> list[Draft]:
    """Say that the criteria set has gaps, once, with the first of them."""
    found = criteria.gaps(criteria_set=snapshot.criteria)
    if not found:
        return []
    named = "; ".join(gap.words for gap in found[:4])
    more = f" and {len(found) - 4} more" if len(found) > 4 else ""
    return [
        not_assessed(
            topic="gaps of the criteria set",
            reason=f"{snapshot.criteria.code} has no number for: {named}{more}",
        )
    ]


def _facts(snapshot: Snapshot) -> dict[str, Any]:
    """Return what an assessment rests on: row versions and reading ids."""
    rows = {
        "machine": snapshot.machine,
        "building": snapshot.machine.building,
        "sheave": snapshot.sheave,
        "geometry": snapshot.geometry,
        "rope_set": snapshot.rope_set,
    }
    return {
        "kernel": KERNEL_VERSION,
        "criteria_set": snapshot.criteria.code,
        **{name: [row.pk, row.version] for name, row in rows.items() if row},
        "grooves": [[g.pk, g.version] for g in snapshot.grooves],
        "ropes": [[r.pk, r.version] for r in snapshot.ropes],
        "seats": [[s.pk, s.version] for s in snapshot.seats],
        "pulleys": [[p.pk, p.version] for p in snapshot.pulleys],
        "readings": [r.pk for r in snapshot.readings],
    }


def _canonical(facts: dict[str, Any]) -> bytes:
    return json.dumps(facts, sort_keys=True, separators=(",", ":")).encode()
