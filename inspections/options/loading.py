"""What was found and forecast of some machines, in a constant number of queries."""

import hashlib
import json
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from fleet.platform.database.tenancy import Scope
from inspections import queries
from inspections.assessment import basis
from inspections.assessment.basis import Basis
from inspections.models import Assessment, Finding, Forecast
from inspections.reasons import Topic

# The only findings whose numbers are looked into; the others' details stay where they
# are.
_WITH_DETAIL = (Topic.TRACTION,)


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """The latest assessment of a machine with its findings, and its forecasts.

    `basis` is what it knew that work is decided on; None where none is stored.
    """

    assessment: Assessment | None
    findings: tuple[Finding, ...]
    forecasts: tuple[Forecast, ...]
    cases: tuple[Mapping[str, Any], ...] = ()
    basis: Basis | None = None


def judged(*, scope: Scope, machine_ids: Sequence[int]) -> dict[int, Judged]:
    """Return what was found and forecast of each machine, by its id."""
    ids = list(machine_ids)
    rows = queries.latest_assessments(scope=scope).filter(machine__in=ids)
    assessments = {row.machine_id: row for row in rows.defer("inputs")}
    latest = [row.pk for row in assessments.values()]
    findings = _by_machine(
        Finding.objects.within(scope)
        .filter(assessment__in=latest)
        .defer("detail", "readings")
        .order_by("pk")
    )
    cases = _cases(scope, latest)
    known = _known(scope, latest)
    forecasts = _by_machine(
        Forecast.objects.within(scope)
        .filter(machine__in=ids, current=True)
        .defer("readings_used", "readings_left_out")
        .order_by("pk")
    )
    return {
        pk: Judged(
            assessment=assessments.get(pk),
            findings=tuple(findings.get(pk, ())),
            forecasts=tuple(forecasts.get(pk, ())),
            cases=tuple(cases.get(pk, ())),
            basis=known.get(pk),
        )
        for pk in ids
    }


def _cases(
    scope: Scope, assessments: Sequence[int]
) -> dict[int, list[Mapping[str, Any]]]:
    """Return the load cases of traction as the assessments have them, by machine."""
    found: dict[int, list[Mapping[str, Any]]] = defaultdict(list)
    rows = Finding.objects.within(scope).filter(
        assessment__in=assessments, topic__in=_WITH_DETAIL
    )
    for machine_id, cases in rows.order_by("pk").values_list(
        "machine_id", "detail__cases"
    ):
        found[machine_id] += cases or ()
    return found


def _known(scope: Scope, assessments: Sequence[int]) -> dict[int, Basis | None]:
    """Return what the assessments knew that work is decided on, by machine."""
    rows = Assessment.objects.within(scope).filter(pk__in=assessments)
    parts = [f"inputs__shared__{part}" for part in basis.PARTS]
    return {
        machine_id: basis.from_shared(dict(zip(basis.PARTS, said, strict=True)))
        for machine_id, *said in rows.values_list("machine_id", *parts)
    }


def _by_machine(rows: Iterable[Any]) -> dict[int, list[Any]]:
    found: dict[int, list[Any]] = defaultdict(list)
    for row in rows:
        found[row.machine_id].append(row)
    return found


def digest(
    *, judged: Judged, terms: Mapping[str, int | None], rules: str, day: date
) -> str:
    """Return a digest of everything that options rest on.

    The assessment's own digest stands for register and readings. A forecast counts by
    what it says: a new night's row that says the same changes nothing.
    """
    assessment = judged.assessment
    said = {
        "rules": rules,
        "day": day.isoformat(),
        "terms": dict(terms),
        "assessment": (
            [assessment.pk, assessment.inputs_digest] if assessment else None
        ),
        "forecasts": [[str(getattr(f, n)) for n in _SAID] for f in judged.forecasts],
    }
    text = json.dumps(said, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


_SAID = (
    "quantity",
    "place",
    "state",
    "level",
    "rate_per_year",
    "limit",
    "limit_sd",
    "p02_on",
    "p10_on",
    "p50_on",
    "p90_on",
    "plan_before_on",
    "chance_already",
    "chance_before_next_visit",
    "next_visit_on",
    "visit_before_on",
)
