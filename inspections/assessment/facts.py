"""What an assessment rests on: where none of it has changed, nothing is judged anew."""

import json
from typing import Any

from inspections.assessment import checks, field_tests, rules
from inspections.inputs import Snapshot, is_unconfirmed


def of(snapshot: Snapshot) -> dict[str, Any]:
    """Return what an assessment rests on: row versions, reading ids, what time did."""
    rows = {
        "machine": snapshot.machine,
        "building": snapshot.machine.building,
        "sheave": snapshot.sheave,
        "geometry": snapshot.geometry,
        "rope_set": snapshot.rope_set,
    }
    test = field_tests.standing_test(snapshot)
    gauges = {r.gauge_id: r.gauge for r in snapshot.readings if r.gauge_id}
    return {
        rules.RULES: rules.at_work(criteria_set=snapshot.criteria),
        "criteria_set": snapshot.criteria.code,
        **{name: [row.pk, row.version] for name, row in rows.items() if row},
        "grooves": [[g.pk, g.version] for g in snapshot.grooves],
        "ropes": [[r.pk, r.version] for r in snapshot.ropes],
        "seats": [[s.pk, s.version] for s in snapshot.seats],
        "pulleys": [[p.pk, p.version] for p in snapshot.pulleys],
        "works": [[w.pk, w.version] for w in snapshot.works],
        "readings": [r.pk for r in snapshot.readings],
        "gauges": sorted((g.pk, g.version) for g in gauges.values() if g),
        "unconfirmed": sorted(unconfirmed(snapshot)),
        "answered": sorted(snapshot.answered),
        # So does what was looked at.
        "checks": checks.aged(snapshot),
        # Only what differs from the least set, so that nothing else is judged anew.
        **({"ages": changed} if (changed := snapshot.ages.changed) else {}),
        # A traction test grows stale without anything being written.
        "field_test_is_stale": test.stale if test else None,
    }


def canonical(facts: dict[str, Any]) -> bytes:
    """Return facts as bytes to make a digest of."""
    return json.dumps(facts, sort_keys=True, separators=(",", ":")).encode()


def unconfirmed(snapshot: Snapshot) -> set[int]:
    """Return the readings that nobody has confirmed yet."""
    return snapshot.once(
        "unconfirmed readings",
        lambda: {each.pk for each in snapshot.readings if is_unconfirmed(each)},
    )
