"""The return-to-service record: work done, as left, tested, to be accepted."""

from collections.abc import Iterable, Sequence
from datetime import date, datetime

from django.utils.translation import gettext as _

from fleet.models import RopeSet, Work
from fleet.platform.database.tenancy import Scope
from inspections.models import Reading, VisitKind
from reports import content, periods, queries
from reports.composition import (
    calls,
    readings,
    required,
    stops,
    tests_made,
    words,
)
from reports.composition.description import description, ropes
from reports.composition.masthead import (
    masthead,
    place_of_building,
    reader_of,
    versions,
)
from reports.composition.reader import Reader
from reports.composition.wording import wording
from reports.models import Report
from reports.queries import MachineRecord

# Readings that are the outcome of a test, whatever the visit was for.
_TESTS = (
    "slip_seen",
    "traction_test",
    "brake_slide_seen",
    "check",
    "balance_load",
    "rope_mark_offset",
)


def return_to_service(
    *, scope: Scope, report: Report, issued_at: datetime
) -> content.ReturnToService:
    """Return the record of what was done at a machine in the report's days."""
    facts = queries.facts_of_machine(
        scope=scope, machine_id=report.machine_id, as_of=issued_at
    )
    machine = facts.machine
    reader = reader_of(report, [machine.building])
    period = periods.Period(start=report.period_start, end=report.period_end)
    works = [work for work in facts.snapshot.works if work.done_on in period]
    found = [
        reading
        for reading in facts.snapshot.readings
        if reading.taken_at.astimezone(reader.zone).date() in period
    ]
    done_on = max((work.done_on for work in works), default=None)
    given = [r for r in found if _is_after(r, done_on, reader=reader)]
    tests = [reading for reading in given if reading.kind in _TESTS]
    people = queries.people_of(
        scope=scope, membership_ids={r.visit.membership_id for r in found}
    )
    told = _told(works, found, reader=reader)
    absent = required.missing(told, facts.snapshot)
    knowing = queries.people_of_stops(scope=scope, stops=facts.stops)
    not_ready = _not_ready(facts, absent, is_worked_on=bool(works))
    return content.ReturnToService(
        masthead=masthead(
            report,
            reader=reader,
            issued_at=issued_at,
            kind=_("Return-to-service record"),
            title=_("Work on %(machine)s") % {"machine": machine.code},
            place=place_of_building(machine.building),
            versions=versions([facts]),
        ),
        wording=wording(),
        machine_code=machine.code,
        machine_name=machine.name,
        summary=_summary(facts, works, tests, not_ready),
        description=description(facts.snapshot, reader=reader),
        work_done=_work_done(works, reader=reader),
        as_left=readings.in_lines(
            _as_left(found), title=_("Readings as left"), reader=reader
        ),
        tests_made=tests_made.table(tests, reader=reader, people=people),
        rope_tag=_rope_tag(facts.snapshot.rope_set, reader=reader),
        acceptance=_acceptance(is_ready=not not_ready),
        not_ready=not_ready,
        required=required.table(
            told,
            facts.snapshot,
            since=required.after(works),
            reader=reader,
            people=people,
        ),
        out_of_service=stops.out_of_service(
            [facts],
            reader=reader,
            people=knowing,
            call=calls.sentence(report.contractor),
        ),
    )


def _as_left(found: Iterable[Reading]) -> list[Reading]:
    return [
        reading
        for reading in found
        if reading.visit.kind == VisitKind.AS_LEFT and reading.kind not in _TESTS
    ]


def _summary(
    facts: MachineRecord,
    works: Sequence[Work],
    tests: Sequence[Reading],
    not_ready: str,
) -> str:
    parts = [not_ready, _("No work was reported in these days.")]
    if works:
        kinds = dict.fromkeys(words.said(str(w.get_kind_display())) for w in works)
        parts[1:] = [_("Work reported: %(works)s.") % {"works": ", ".join(kinds)}]
    if works and not tests:
        parts.append(_("No test after the work was reported."))
    stopping = dict.fromkeys(
        words.topic(f.topic).what for f in facts.findings if f.stops_service
    )
    if stopping:
        parts.append(
            _("Findings that keep this machine out of service: %(topics)s.")
            % {"topics": "; ".join(stopping)}
        )
    parts.append(_("This record says what was done and read; it is no acceptance."))
    return " ".join(part for part in parts if part)


def _not_ready(
    facts: MachineRecord, absent: Sequence[str], *, is_worked_on: bool
) -> str:
    """Return why a machine is not ready for acceptance; "" where nothing is open."""
    parts = [stops.not_ready(facts)]
    if not is_worked_on:
        parts.append(_("There is no work to accept."))
    if absent:
        parts.append(
            _("Not read or tested after the work: %(missing)s.")
            % {"missing": "; ".join(absent)}
        )
    why = " ".join(part for part in parts if part)
    return _("NOT READY FOR ACCEPTANCE. %(why)s") % {"why": why} if why else ""


def _is_after(reading: Reading, done_on: date | None, *, reader: Reader) -> bool:
    """Return whether a test says something of the work: not made as found before it.

    Without work there is nothing that a test could be after.
    """
    if done_on is None:
        return False
    day = reading.taken_at.astimezone(reader.zone).date()
    if day == done_on:
        return reading.visit.kind == VisitKind.AS_LEFT
    return day > done_on


def _told(
    works: Sequence[Work], found: Sequence[Reading], *, reader: Reader
) -> required.Told:
    """Return what the works ask for, each with what was read after its own work."""
    return {
        need: required.of_the_works_own_time(
            need,
            [r for r in found if _is_after(r, done_on, reader=reader)],
            reader=reader,
        )
        for need, done_on in required.after(works).items()
    }


def _work_done(works: Iterable[Work], *, reader: Reader) -> content.Table:
    return content.Table(
        title=_("Work done"),
        columns=(
            content.Column(heading=_("Work"), share=1.2),
            content.Column(heading=_("Done on"), share=0.9),
            content.Column(heading=_("By"), share=1.2),
            content.Column(heading=_("Remark"), share=2.0),
        ),
        rows=tuple(
            (
                words.said(str(work.get_kind_display())),
                reader.day(work.done_on),
                work.done_by or _("not stated"),
                work.note,
            )
            for work in works
        ),
    )


def _rope_tag(rope_set: RopeSet | None, *, reader: Reader) -> tuple[content.Row, ...]:
    """Return what the tag at the ropes says; what is not known is said."""
    if rope_set is None:
        return ()
    unknown = _("not known")
    strength = unknown
    if rope_set.breaking_force_kn:
        strength = reader.force(1000.0 * rope_set.breaking_force_kn)
    grades = [rope_set.outer_grade_mpa, rope_set.inner_grade_mpa]
    grade = " / ".join(f"{g} N/mm²" for g in grades if g) or unknown
    return (
        content.Row(label=_("Ropes"), value=ropes(rope_set, reader=reader)),
        content.Row(label=_("Wire grade, outer / inner"), value=grade),
        content.Row(label=_("Breaking force of one rope"), value=strength),
        content.Row(label=_("Certificate"), value=rope_set.certificate or unknown),
        content.Row(label=_("Fitted on"), value=reader.day(rope_set.fitted_on)),
    )


def _acceptance(*, is_ready: bool) -> content.Acceptance:
    """Return the inspector's own field; none to sign where something is open."""
    if not is_ready:
        return content.Acceptance(
            statement=_(
                "Not offered for acceptance: what is open stands above. The field to "
                "sign comes with the next revision of this record."
            ),
            lines=(),
        )
    return content.Acceptance(
        statement=_(
            "To be filled in by the inspector alone. Until then this record says what "
            "was done, not that it was accepted."
        ),
        lines=tuple(
            content.Row(label=label, value="")
            for label in (
                _("Inspector"),
                _("Authority"),
                _("Accepted, refused, with conditions"),
                _("Date and signature"),
            )
        ),
    )
