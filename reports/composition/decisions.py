"""What must be decided of one machine, and by when."""

from datetime import date

from django.utils.translation import gettext as _

from inspections import condition
from inspections.models import Forecast, Grade
from reports import content
from reports.composition import machine, words
from reports.composition.reader import Reader
from reports.queries import MachineFacts

_TOPIC_OF = {
    "seat_depth": "bottom clearance",
    "diameter_loss": "rope diameter",
    "counterweight_runby": "counterweight run-by",
    "broken_wires": "broken wires",
}


def decisions_on(
    facts: MachineFacts, *, reader: Reader, today: date
) -> list[content.Decision]:
    """Return the matters of one machine: findings first, else the next forecast."""
    code = facts.machine.code
    decided: dict[str, content.Decision] = {}
    for finding in machine.urgent(facts):
        matter = words.topic(finding.topic).decision
        now = finding.grade == Grade.ACT_NOW
        if matter:
            decided.setdefault(
                matter,
                content.Decision(
                    machine=code,
                    matter=matter,
                    plan_before=_("now") if now else _when(facts, reader=reader),
                    chance=_("limit passed") if now else "",
                    cost=_("not estimated"),
                ),
            )
    if decided:
        return list(decided.values())
    return _ahead(facts, reader=reader, today=today)


def _ahead(
    facts: MachineFacts, *, reader: Reader, today: date
) -> list[content.Decision]:
    first = machine.first_limit(facts)
    due = first.plan_before_on if first else None
    if first is None or due is None or due > today + condition.PLAN_AHEAD:
        return []
    return [
        content.Decision(
            machine=facts.machine.code,
            matter=words.topic(_TOPIC_OF.get(first.quantity, "")).decision,
            plan_before=reader.day(due) if due > today else _("now"),
            chance=_chance(first, today=today),
            cost=_("not estimated"),
        )
    ]


def _when(facts: MachineFacts, *, reader: Reader) -> str:
    first = machine.first_limit(facts)
    if first is None or first.plan_before_on is None:
        return _("next visit")
    return reader.day(first.plan_before_on)


def _chance(forecast: Forecast, *, today: date) -> str:
    """Return the chance that goes with a planning date."""
    if forecast.plan_before_on is not None and forecast.plan_before_on <= today:
        return _("more than 1 in 50 that the limit is met already or soon")
    if forecast.plan_before_on == forecast.p02_on:
        return _("about 1 in 50 that the limit is met before")
    if forecast.plan_before_on == forecast.p10_on:
        return _("about 1 in 10 that the limit is met before")
    # The contractor plans more cautiously than that.
    if forecast.safety:
        return _("less than 1 in 50 that the limit is met before")
    return _("less than 1 in 10 that the limit is met before")
