"""Page one: what an owner asks, answered in plain words."""

from collections.abc import Sequence
from datetime import date, timedelta

from inspections import condition
from inspections.models import Finding, Forecast, Grade
from reports import content
from reports.composition import findings, machine, words
from reports.composition.reader import Reader
from reports.queries import MachineFacts

LOOK_AHEAD = condition.PLAN_AHEAD

Located = tuple[MachineFacts, Finding]


def summary(
    facts: Sequence[MachineFacts],
    *,
    reader: Reader,
    today: date,
    changes: tuple[str, ...],
) -> content.Summary:
    """Return page one."""
    past = [
        (f, finding)
        for f in facts
        for finding in machine.urgent(f)
        if finding.grade == Grade.ACT_NOW
    ]
    open_checks = [
        (f, finding)
        for f in facts
        for finding in f.findings
        if finding.grade == Grade.NOT_ASSESSED
    ]
    checks = sum(len(f.findings) for f in facts)
    decisions = [d for f in facts for d in _decisions(f, reader=reader, today=today)]
    return content.Summary(
        headline=_headline(facts, past, open_checks, checks),
        answers=(
            content.Answer(
                question="Was anything found past a limit?",
                paragraphs=_past(past, facts),
            ),
            content.Answer(
                question="Which checks were not made?",
                paragraphs=_not_made(open_checks, checks),
            ),
            content.Answer(
                question="What must be decided, and by when?",
                paragraphs=(
                    ("See the table below.",)
                    if decisions
                    else ("Nothing within the next two years by today's readings.",)
                ),
            ),
            content.Answer(
                question="What may it cost?",
                paragraphs=("Not estimated in this report.",),
            ),
            content.Answer(
                question="What changed since the last report?", paragraphs=changes
            ),
        ),
        decisions=tuple(decisions),
        strip=_strip(facts, reader=reader, today=today),
    )


def _headline(
    facts: Sequence[MachineFacts],
    past: Sequence[Located],
    open_checks: Sequence[Located],
    checks: int,
) -> str:
    if not facts:
        return "No machine of this place was in service."
    if past:
        codes = list(dict.fromkeys(f.machine.code for f, _ in past))
        first = f"A limit was passed on {', '.join(codes)}."
    else:
        first = "No reading passed a limit of the criteria set."
    made = checks - len(open_checks)
    return f"{first} {made} of {checks} checks were made on {len(facts)} machines."


def _past(past: Sequence[Located], facts: Sequence[MachineFacts]) -> tuple[str, ...]:
    if not past:
        codes = ", ".join(f.machine.code for f in facts) or "–"
        return (f"No reading passed a limit of the set applied ({codes}).",)
    lines: dict[tuple[str, str], list[str]] = {}
    for f, finding in past:
        what = words.topic(finding.topic).what
        lines.setdefault((f.machine.code, what), []).append(finding.place)
    return tuple(
        f"{code}: {what.lower()}{_places(places)}."
        for (code, what), places in lines.items()
    )


def _places(places: Sequence[str]) -> str:
    named = ", ".join(dict.fromkeys(place for place in places if place))
    return f" ({named})" if named else ""


def _not_made(open_checks: Sequence[Located], checks: int) -> tuple[str, ...]:
    if not open_checks:
        return (f"All {checks} checks were made.",)
    by_machine: dict[str, list[str]] = {}
    for f, finding in open_checks:
        by_machine.setdefault(f.machine.code, []).append(
            words.topic(finding.topic).what.lower()
        )
    lines = [
        f"{code}: {', '.join(dict.fromkeys(topics))}."
        for code, topics in by_machine.items()
    ]
    return (
        f"{len(open_checks)} of {checks}; a check that was not made is not a check "
        "that was passed.",
        *lines,
    )


def _decisions(
    facts: MachineFacts, *, reader: Reader, today: date
) -> list[content.Decision]:
    """Return what must be decided of one machine: findings first, then forecasts."""
    code = facts.machine.code
    decided: dict[str, content.Decision] = {}
    for finding in machine.urgent(facts):
        matter = words.topic(finding.topic).decision
        now = finding.grade == Grade.ACT_NOW
        decided.setdefault(
            matter,
            content.Decision(
                machine=code,
                matter=matter,
                plan_before="now" if now else _when(facts, reader=reader),
                chance="limit passed" if now else "",
                cost="not estimated",
            ),
        )
    first = machine.first_limit(facts)
    due = first.plan_before_on if first else None
    if first is not None and due is not None and not decided:
        if due > today + LOOK_AHEAD:
            return []
        decided[""] = content.Decision(
            machine=code,
            matter=_matter(first),
            plan_before=reader.day(due) if due > today else "now",
            chance=_chance(first, today=today),
            cost="not estimated",
        )
    return list(decided.values())


def _when(facts: MachineFacts, *, reader: Reader) -> str:
    first = machine.first_limit(facts)
    if first is None or first.plan_before_on is None:
        return "next visit"
    return reader.day(first.plan_before_on)


def _chance(forecast: Forecast, *, today: date) -> str:
    """Return the chance that goes with a planning date."""
    if forecast.plan_before_on is not None and forecast.plan_before_on <= today:
        return "more than 1 in 50 that the limit is met already or soon"
    if forecast.plan_before_on == forecast.p02_on:
        return "about 1 in 50 that the limit is met before"
    return "about 1 in 10 that the limit is met before"


def _matter(forecast: Forecast) -> str:
    topic = {
        "seat_depth": "bottom clearance",
        "diameter_loss": "rope diameter",
        "counterweight_runby": "counterweight run-by",
    }[forecast.quantity]
    return words.topic(topic).decision


def _strip(
    facts: Sequence[MachineFacts], *, reader: Reader, today: date
) -> content.PortfolioStrip | None:
    """Return all machines on one time axis."""
    if not facts:
        return None
    start, end = today - timedelta(days=90), today + timedelta(days=3650)

    def x(day: date) -> float:
        return float((day - start).days)

    years = content.axes.year_starts(first=start, last=end, at_most=11)
    rows = []
    for one in facts:
        first = machine.first_limit(one)
        grade = machine.grade_of(one, today=today)
        days = (first.p10_on, first.p50_on, first.p90_on) if first else (None,) * 3
        shown = [None if d is None else min(max(x(d), 0.0), x(end)) for d in days]
        if None in shown:
            shown = [None, None, None]
        found = machine.urgent(one)
        rows.append(
            content.StripRow(
                label=f"{one.machine.code} {one.machine.name}",
                grade=content.Grade(grade),
                low=shown[0],
                median=shown[1],
                high=shown[2],
                note=_strip_note(first, found),
            )
        )
    order = {grade: n for n, grade in enumerate(findings.ORDER)}
    rows.sort(key=lambda row: order[Grade(row.grade)])
    return content.PortfolioStrip(
        title="When each machine may meet its first limit",
        time_axis=content.Axis(
            label="",
            low=0.0,
            high=x(end),
            ticks=tuple(
                content.Tick(position=x(day), label=str(day.year)) for day in years
            ),
        ),
        today=content.Tick(position=x(today), label=reader.day(today)),
        rows=tuple(rows),
        caption="The bar holds 8 of 10 courses of wear, the stroke is the middle one; "
        "what lies beyond ten years is cut off.",
        description=f"{len(rows)} machines on a time axis of ten years.",
    )


def _strip_note(first: Forecast | None, found: Sequence[Finding]) -> str:
    if found:
        return words.topic(found[0].topic).what.lower()
    if first is None:
        return "no date can be given"
    return words.CASES.get(first.limit_reason, "")
