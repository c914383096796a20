"""Options into the database: one row a machine, replaced in one statement."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from fleet.models import Machine, RopeSet
from fleet.platform.database.tenancy import Scope
from inspections.decisions import portfolio
from inspections.decisions.records import MachineFacts, Offer, Option
from inspections.engineering.verdict import Item
from inspections.json_records import hints, plain
from inspections.models import Grade, OptionSet
from inspections.options import saying
from inspections.options.loading import Judged
from inspections.reasons import Code, Quantity, Reason, Term, because
from inspections.reasons import as_json as reason_as_json

_UPDATED = (
    "as_of",
    "rules_version",
    "inputs_digest",
    "terms",
    "facts",
    "options",
    "first_kind",
    "out_of_service",
    "version",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedOut:
    """The options of one machine, ready to be stored, and what they rest on."""

    machine: Machine
    judged: Judged
    digest: str
    rules: str
    terms: Mapping[str, int | None]
    rope_set: RopeSet | None
    facts: MachineFacts
    options: tuple[Option, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredOptions:
    """The digest of what stored options rest on, and the version of their rules."""

    digest: str
    version: str


def last(*, scope: Scope, machine_ids: Sequence[int]) -> dict[int, StoredOptions]:
    """Return what is known of each machine's stored options."""
    rows = OptionSet.objects.within(scope).filter(machine__in=machine_ids)
    found = rows.values_list("machine_id", "inputs_digest", "rules_version")
    return {
        machine: StoredOptions(digest=digest, version=version)
        for machine, digest, version in found
    }


def store(*, scope: Scope, worked_out: Sequence[WorkedOut], as_of: datetime) -> None:
    """Store the options; each machine's version is counted up."""
    if not worked_out:
        return
    ids = [each.machine.pk for each in worked_out]
    rows = OptionSet.objects.within(scope).filter(machine__in=ids)
    versions = dict(rows.values_list("machine_id", "version"))
    OptionSet.objects.bulk_create(
        [
            _row(scope, each, versions.get(each.machine.pk, 0), as_of)
            for each in worked_out
        ],
        update_conflicts=True,
        unique_fields=["machine"],
        update_fields=_UPDATED,
    )


def _row(scope: Scope, each: WorkedOut, version: int, as_of: datetime) -> OptionSet:
    return OptionSet(
        contractor_id=scope.contractor_id,
        machine=each.machine,
        version=version + 1,
        as_of=as_of,
        rules_version=each.rules,
        inputs_digest=each.digest,
        terms=dict(each.terms),
        facts=_summary(each),
        options=[as_json(option) for option in each.options],
        first_kind=each.options[0].kind if each.options else "",
        out_of_service=any(option.out_of_service for option in each.options),
    )


def _summary(each: WorkedOut) -> dict[str, Any]:
    """Return what the options rest on, and what lists and budget need of them."""
    assessment = each.judged.assessment
    rope_set = each.rope_set
    part = part_of(rope_set) if rope_set else None
    followed = portfolio.machine_of(facts=each.facts, options=each.options)
    return {
        "assessment": assessment.pk if assessment else None,
        "grade": assessment.grade if assessment else Grade.NOT_ASSESSED,
        "forecasts": [row.pk for row in each.judged.forecasts],
        "part": str(part) if part else "",
        "part_said": reason_as_json(part) if part else None,
        "part_count": rope_set.ropes_count if rope_set else 0,
        "risk": risk_of(each.judged),
        "offers": [_offer(each) for each in followed.offers],
        "asked": followed.chosen,
        "asked_on": plain(followed.planned_on),
    }


def _offer(offer: Offer) -> dict[str, Any]:
    return {
        "kind": str(offer.kind),
        "possible": str(offer.possible),
        "cost": saying.cost(offer.cost),
        "further_cuts": offer.further_cuts,
        "lead_days": offer.lead_days,
    }


def part_of(rope_set: RopeSet) -> Reason:
    """Return a rope as it is ordered: equal ones are the same rope."""
    grades = [g for g in (rope_set.outer_grade_mpa, rope_set.inner_grade_mpa) if g]
    details: list[Item] = []
    if rope_set.strand_class:
        details.append(because(Code.ROPE_STRANDS, name=rope_set.strand_class))
    if rope_set.core:
        details.append(Term(f"core_{rope_set.core.lower()}"))
    if grades:
        details.append(because(Code.ROPE_GRADES, grades="/".join(map(str, grades))))
    diameter = Quantity(rope_set.nominal_diameter_mm, "mm")
    if not details:
        return because(Code.ROPE_PART, diameter=diameter)
    return because(Code.ROPE_PART_MADE, diameter=diameter, details=tuple(details))


def risk_of(judged: Judged) -> float:
    """Return the chance that a safety limit is reached before the usual next visit."""
    if any(row.stops_service for row in judged.findings):
        return 1.0
    chances = [
        max(row.chance_already or 0.0, row.chance_before_next_visit or 0.0)
        for row in judged.forecasts
        if row.safety
    ]
    return min(max(chances, default=0.0), 1.0)


def as_json(option: Option) -> dict[str, Any]:
    """Return an option as it is stored and shown."""
    said: dict[str, Any] = plain(option)
    for name, hint in hints(Option):
        said |= saying.worded(name, hint, getattr(option, name))
    return said | {"words": option.kind.words}


def stored(*, scope: Scope, machine_ids: Sequence[int]) -> Iterator[OptionSet]:
    """Yield the stored options of some machines, with machine and building."""
    yield from (
        OptionSet.objects.within(scope)
        .filter(machine__in=machine_ids)
        .select_related("machine__building")
        .order_by("machine_id")
    )
