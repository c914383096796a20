"""The condition report of a building or an owner's estate."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime

from django.utils.translation import gettext as _

from fleet.platform.database.tenancy import Scope
from reports import content, queries
from reports.composition import (
    appendix,
    calls,
    checks,
    decisions,
    front,
    lifts,
    machine,
    matrices,
    photos,
    previous,
    stops,
    tried,
)
from reports.composition.changes import changes, state
from reports.composition.decisions import PrintedMatter
from reports.composition.lines import AnswerLine
from reports.composition.masthead import masthead, place_of, reader_of, versions
from reports.composition.reader import Reader
from reports.composition.wording import wording
from reports.models import Report
from reports.queries import MachineRecord


def condition_report(
    *, scope: Scope, report: Report, issued_at: datetime
) -> content.ConditionReport:
    """Return the content of a condition report; a constant number of queries."""
    buildings = queries.buildings_of(
        scope=scope, owner=report.owner, building=report.building
    )
    reader = reader_of(report, buildings)
    today = issued_at.astimezone(reader.zone).date()
    facts = queries.facts_of(scope=scope, buildings=buildings, as_of=issued_at)
    facts = queries.with_measuring(facts, scope=scope, as_of=issued_at)
    # What stands is read first, on page one and on the pages of the lifts.
    facts = lifts.by_urgency(facts, today=today)
    place = place_of(report, buildings)
    people = _people(facts, scope=scope)
    shared = queries.shared_scenarios(
        scope=scope, machine_ids=[f.machine.pk for f in facts]
    )
    last = previous.last_report(scope=scope, report=report)
    matters = {
        f.machine.code: decisions.matters_of(f, reader=reader, today=today)
        for f in facts
    }
    return content.ConditionReport(
        masthead=_head(report, facts, reader=reader, issued_at=issued_at, place=place),
        wording=wording(),
        summary=front.summary(
            facts,
            reader=reader,
            today=today,
            matters=matters,
            call=calls.sentence(report.contractor),
            changes=(
                *changes(
                    scope=scope, last=last, facts=facts, reader=reader, today=today
                ),
                *state(report=report, facts=facts, reader=reader, today=today),
            ),
            followed=_followed(
                last, facts, scope=scope, matters=matters, reader=reader
            ),
            tried=tried.told(facts, shared),
        ),
        machines=_machines(facts, reader=reader, today=today, people=people),
        criteria_sets=appendix.criteria_sets(
            (f.snapshot.criteria for f in facts),
            ropes=appendix.fitted(f.snapshot.rope_set for f in facts),
            reader=reader,
        ),
        glossary=appendix.glossary(),
        method=appendix.method(),
        out_of_service=stops.out_of_service(
            facts, reader=reader, people=people, call=calls.sentence(report.contractor)
        ),
        tried=tried.changes(facts, shared, reader=reader, today=today),
    )


def _people(facts: Sequence[MachineRecord], *, scope: Scope) -> dict[int, str]:
    """Return the names of all who read, took a photo or had a hand in a stop."""
    told = queries.members_of_stops(stop for f in facts for stop in f.stops)
    read = map(matrices.members_of, facts)
    return queries.people_of(
        scope=scope,
        membership_ids=told.union(*read, *map(photos.members_of, facts)),
    )


def _head(
    report: Report,
    facts: Sequence[MachineRecord],
    *,
    reader: Reader,
    issued_at: datetime,
    place: content.Party,
) -> content.Masthead:
    return masthead(
        report,
        reader=reader,
        issued_at=issued_at,
        kind=_("Condition report"),
        title=_("Drive sheaves and ropes: %(place)s") % {"place": place.name},
        place=place,
        versions=versions(facts),
    )


def _machines(
    facts: Sequence[MachineRecord],
    *,
    reader: Reader,
    today: date,
    people: Mapping[int, str],
) -> tuple[content.MachinePages, ...]:
    sources = checks.Sources()
    made = [
        machine.pages(
            each,
            reader=reader,
            today=today,
            people=people,
            sources=sources,
            most_photos=most_photos,
        )
        for each, most_photos in zip(facts, _most_photos(len(facts)), strict=True)
    ]
    return checks.under_the_last(made, sources)


def _most_photos(machines: int) -> list[int]:
    """Return how many photos each may show; the first one each, of more machines."""
    each = max(photos.MOST_A_DOCUMENT // max(machines, 1), 1)
    return [each if at < photos.MOST_A_DOCUMENT else 0 for at in range(machines)]


def _followed(
    last: previous.LastReport | None,
    facts: Sequence[MachineRecord],
    *,
    scope: Scope,
    matters: Mapping[str, Sequence[PrintedMatter]],
    reader: Reader,
) -> tuple[AnswerLine, ...]:
    if last is None:
        return ()
    ended = queries.stops_ended(
        scope=scope,
        machine_ids=[one.machine.pk for one in facts],
        since=last.issued_at,
    )
    return previous.followed(last, facts, matters=matters, ended=ended, reader=reader)
