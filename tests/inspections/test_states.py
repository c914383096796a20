"""The stored state of machines: equal to what is worked out, after every change."""

from collections import Counter
from contextlib import contextmanager
from dataclasses import replace
from datetime import timedelta

import pytest
from django.db import connection, transaction
from django.utils import timezone

from fleet.models import Machine
from inspections import condition, overview, queries, states
from inspections.models import (
    Assessment,
    Finding,
    Forecast,
    MachineState,
    StateMark,
    Stop,
)
from inspections.states import asking
from inspections.states.urgency import STATES, urgency
from tests import callers
from tests.inspections.test_pages import machine_of, open_stop

pytestmark = pytest.mark.django_db


@pytest.fixture
def north(world):
    found = world.north
    callers.confine(found)
    states.refresh(scope=found.scope(), today=timezone.localdate())
    return found


def today():
    return timezone.localdate()


def from_rows(cast, *, day=None):
    """Return what the list says of each machine."""
    found = overview.machines(scope=cast.scope(), today=day or today())
    return {machine.code: STATES[machine.urgency] for machine in found}


def from_scratch(cast, *, day=None):
    """Return what each machine's own rows say, one machine at a time in Python."""
    scope = cast.scope()
    found = {}
    for machine in queries.active_machines(scope=scope):
        latest = queries.latest_assessments(scope=scope).filter(machine=machine).first()
        grade = condition.grade_of(
            assessment=latest,
            forecasts=queries.current_forecasts(scope=scope).filter(machine=machine),
            today=day or today(),
        )
        stopped = queries.open_stops(scope=scope, machine_ids=[machine.pk]).exists()
        found[machine.code] = states.STOPPED if stopped else str(grade)
    return found


def is_marked(cast, machine):
    rows = asking.doubtful(scope=cast.scope(), today=today())
    return rows.filter(machine=machine).exists()


def refresh(cast, day=None):
    states.refresh(scope=cast.scope(), today=day or today())


def forecast(machine, *, days, **fields):
    stored = machine.forecasts.first()
    given = {
        "quantity": "depth",
        "place": "groove 9",
        "state": "ESTABLISHED",
        "level": 1.0,
        "plan_before_on": today() + timedelta(days=days),
        **fields,
    }
    return Forecast.objects.create(
        contractor=machine.contractor,
        machine=machine,
        as_of=stored.as_of,
        model_version="1",
        track=stored.track,
        run=stored.run,
        **given,
    )


def grade(machine, grade):
    last = machine.assessments.latest("pk")
    return Assessment.objects.create(
        contractor=last.contractor,
        machine=machine,
        as_of=last.as_of,
        criteria_set=last.criteria_set,
        kernel_version=last.kernel_version,
        inputs={},
        inputs_digest="",
        grade=grade,
        checks={"made": 3, "of": 5, "missed": [{"check": "crack"}]},
    )


def read_again(machine):
    row = machine.readings.latest("pk")
    row.pk, row.reference, row.taken_at = None, "again", timezone.now()
    row.save(force_insert=True)
    return row


CHANGES = {
    "a stop": lambda m, cast: open_stop(cast, m),
    "a better grade": lambda m, cast: grade(m, "IN_ORDER"),
    "a worse grade": lambda m, cast: grade(m, "ACT_NOW"),
    "a limit that is near": lambda m, cast: (
        grade(m, "IN_ORDER") and forecast(m, days=10)
    ),
    "a limit that is far": lambda m, cast: (
        grade(m, "IN_ORDER") and forecast(m, days=condition.PLAN_AHEAD.days + 40)
    ),
    "forecasts taken away": lambda m, cast: m.forecasts.update(current=False),
    "findings taken away": lambda m, cast: m.findings.update(current=False),
    "a reading": lambda m, cast: read_again(m),
}


def test_every_change_marks_its_machine_and_the_row_follows(north):
    for what, change in CHANGES.items():
        with transaction.atomic():
            follows(north, what, change)
            transaction.set_rollback(True)


def follows(cast, what, change):
    machine = machine_of(cast)
    assert not is_marked(cast, machine)

    change(machine, cast)

    # Nobody has worked it out yet: what is said is right all the same.
    assert is_marked(cast, machine), what
    wanted = from_scratch(cast)
    assert from_rows(cast) == wanted, what
    refresh(cast)
    assert not StateMark.objects.within(cast.scope()).exists()
    assert not is_marked(cast, machine)
    row = MachineState.objects.get(machine=machine)
    assert STATES[row.urgency] == wanted[machine.code], what
    assert from_rows(cast) == wanted, what
    ids = {"scope": cast.scope(), "machine_ids": [machine.pk]}
    assert row.says_most == states.says_most(**ids).get(machine.pk), what
    assert row.first == states.firsts(**ids).get(machine.pk), what
    read = machine.readings.values_list("taken_at", flat=True)
    assert row.last_read_at == max(read), what
    stops = Stop.objects.filter(machine=machine, released_at=None)
    assert row.stops == stops.count(), what
    assert row.stopped_since == min((s.since for s in stops), default=None), what
    checks = machine.assessments.latest("pk").checks or {}
    kept = (row.checks_made, row.checks_of, row.checks_missed)
    told = (checks.get("made"), checks.get("of"), bool(checks.get("missed")))
    assert kept == told, what
    # A limit that falls due changes the state on the day that the row names.
    if row.changes_on is not None:
        eve = row.changes_on - timedelta(days=1)
        due, before = (from_scratch(cast, day=d) for d in (row.changes_on, eve))
        assert before[machine.code] == wanted[machine.code], what
        assert due[machine.code] != before[machine.code], what


def test_a_limit_comes_near_on_its_day_though_nobody_writes_then(north):
    machine = machine_of(north)
    machine.forecasts.update(current=False)
    grade(machine, "IN_ORDER")
    Stop.objects.filter(machine=machine, released_at=None).update(
        released_at=timezone.now(), release="RETIRED"
    )
    forecast(machine, days=condition.PLAN_AHEAD.days + 30)
    refresh(north)
    row = MachineState.objects.get(machine=machine)
    comes_near = today() + timedelta(days=30)

    assert (row.holds_from, row.changes_on) == (None, comes_near)
    for days, said in ((0, "IN_ORDER"), (29, "IN_ORDER"), (30, "PLAN_WORK")):
        day = today() + timedelta(days=days)
        assert from_rows(north, day=day)[machine.code] == said
        assert from_scratch(north, day=day)[machine.code] == said
    refresh(north, comes_near)
    row.refresh_from_db()
    assert (STATES[row.urgency], row.holds_from) == ("PLAN_WORK", comes_near)
    # A clock that was ahead has raised nothing for good.
    assert from_rows(north)[machine.code] == "IN_ORDER"


def test_a_row_of_older_rules_or_none_at_all_is_worked_out_at_once(north):
    machine = machine_of(north)
    grade(machine, "ACT_NOW")
    Stop.objects.filter(machine=machine, released_at=None).update(
        released_at=timezone.now(), release="RETIRED"
    )
    refresh(north)
    best = STATES.index("IN_ORDER")
    assert from_rows(north)[machine.code] == "ACT_NOW"

    MachineState.objects.filter(machine=machine).update(rules=0, urgency=best)
    assert from_rows(north)[machine.code] == "ACT_NOW"
    MachineState.objects.filter(machine=machine).delete()
    # Nothing counts machines beside rows while all rows hold: the mark tells.
    assert StateMark.objects.filter(machine_number=machine.pk).exists()
    assert from_rows(north)[machine.code] == "ACT_NOW"
    said = overview.standing(scope=north.scope(), today=today())
    assert not said.rows_hold
    assert sum(said.counts.values()) == len(from_scratch(north))


def test_a_machine_that_comes_and_goes_is_counted_as_it_is(north):
    machine = machine_of(north)
    before = from_rows(north)
    refresh(north)

    Machine.objects.filter(pk=machine.pk).update(retired_on=today())
    assert from_rows(north) == {k: v for k, v in before.items() if k != machine.code}
    Machine.objects.filter(pk=machine.pk).update(retired_on=None, code="renamed")
    assert from_rows(north) == from_scratch(north)
    assert "renamed" in from_rows(north)
    new = Machine.objects.get(pk=machine.pk)
    new.pk, new.code = None, "new"
    new.save()
    assert from_rows(north)["new"] == "NOT_ASSESSED"


def test_the_counts_are_those_of_the_lines(north):
    for rows_hold in (True, False):
        if not rows_hold:
            grade(machine_of(north), "ACT_NOW")
        said = overview.standing(scope=north.scope(), today=today())
        lines = overview.lines(
            scope=north.scope(), wish=overview.Wish(), today=today()
        ).lines

        assert said.rows_hold is rows_hold
        counted = dict.fromkeys(STATES, 0)
        for line in lines:
            counted[line.state] += 1
        assert said.counts == counted
        assert said.checks_missed == queries.unchecked_machines(scope=north.scope())


def test_the_page_reads_rows_alone_while_all_hold(north):
    with sql_of() as asked:
        overview.lines(scope=north.scope(), wish=overview.Wish(), today=today())

    assert asked
    assert not [sql for sql in asked if "inspections_assessment" in sql]
    assert not [sql for sql in asked if "inspections_reading" in sql]


def as_shown(cast, wish, said):
    page = overview.lines(scope=cast.scope(), wish=wish, today=today(), said=said)
    return [
        (
            *(line.machine.code, line.state, line.says_most, line.first),
            *(line.checks, line.last_read_at, line.due, list(line.stops)),
        )
        for line in page.lines
    ]


def test_only_machines_in_doubt_are_worked_out_anew_and_lines_are_the_same(north):
    scope = north.scope()
    machine = machine_of(north)
    grade(machine, "ACT_NOW")
    forecast(machine, days=3)
    said = overview.standing(scope=scope, today=today())
    all_anew = replace(said, anew=None)

    assert set(said.anew) == {machine.pk}
    assert Counter(from_scratch(north).values()) == +Counter(said.counts)
    wishes = [overview.Wish(order=order) for order in overview.ORDERS]
    wishes += [overview.Wish(state=state) for state in STATES]
    for wish in wishes:
        shown = as_shown(north, wish, said)
        assert shown == as_shown(north, wish, all_anew), wish
    assert machine.code in {code for code, *_ in as_shown(north, wishes[0], said)}
    for group in (overview.by_building, overview.by_owner):
        found = group(scope=scope, today=today())
        counted = sum((Counter(each.states) for each in found), Counter())
        assert counted == +Counter(said.counts)


def test_one_mark_has_the_readings_of_no_other_machine_looked_at(north):
    machine = machine_of(north)
    grade(machine, "ACT_NOW")

    with sql_of() as asked:
        overview.lines(scope=north.scope(), wish=overview.Wish(), today=today())

    readings = [sql for sql in asked if "inspections_reading" in sql]
    assert len(readings) == 1
    assert '"machine_id" IN (%s)' in readings[0]


@contextmanager
def sql_of():
    asked = []

    def listen(execute, sql, params, many, context):
        asked.append(sql)
        return execute(sql, params, many, context)

    with connection.execute_wrapper(listen):
        yield asked


@pytest.mark.parametrize("first", [None, 10, 1000])
@pytest.mark.parametrize("grade", STATES[1:])
def test_the_urgency_holds_exactly_until_the_day_it_names(first, grade):
    due = None if first is None else today() + timedelta(days=first)

    def at(day):
        return urgency(is_stopped=False, grade=grade, plan_before=due, today=day)

    now = at(today())
    if now.changes_on is not None:
        assert at(now.changes_on - timedelta(days=1)).at == now.at
        assert at(now.changes_on).at == STATES.index("PLAN_WORK") < now.at
    if now.holds_from is not None:
        assert at(now.holds_from).at == now.at
        assert at(now.holds_from - timedelta(days=1)).at == STATES.index(grade)


def test_readings_and_findings_of_others_mark_nothing_here(north):
    own = {machine_of(north).pk}
    Finding.objects.filter(machine__in=own).update(current=False)
    read_again(machine_of(north))

    marked = StateMark.objects.within(north.scope()).values_list("machine_number")
    assert {pk for (pk,) in marked} == own
