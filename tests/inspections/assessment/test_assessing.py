"""From stored rows to stored findings: once, in few queries, without doubling."""

import threading

import pytest
from django.db import connection, connections
from django.test.utils import CaptureQueriesContext

from fleet.models import Building, Job, Machine
from fleet.platform.database.tenancy import Scope, acting_for
from fleet.register import registry
from inspections import assessment, inputs
from inspections.models import (
    Assessment,
    Finding,
    Grade,
    Reading,
    ReadingReview,
    Upload,
    Visit,
    WearLimit,
)
from tests import callers, factories
from tests.inspections.assessment.visits import (
    NOW,
    assess,
    findings,
    latest,
    send,
    worn,
)

pytestmark = pytest.mark.django_db


def confirm(cast, reference):
    ReadingReview.objects.create(
        contractor=cast.contractor,
        reading=Reading.objects.get(reference=reference),
        accepted=True,
        membership_id=1,
        why="measured again",
    )


def stored(contractor, machine, number):
    """Give a machine one visit that read rope 1 and groove 1."""
    own = {"contractor": contractor, "machine": machine}
    sheave = machine.sheaves.get()
    upload, _ = Upload.objects.get_or_create(
        contractor=contractor, membership_id=1, fingerprint="0" * 64
    )
    visit = Visit.objects.create(
        **own, reference=f"v-{number}", visited_at=NOW, membership_id=1
    )
    for kind, place in (
        ("rope_diameter", {"rope": machine.rope_sets.get().ropes.first()}),
        ("bottom_clearance", {"groove": sheave.grooves.first()}),
    ):
        Reading.objects.create(
            **own,
            **place,
            sheave=sheave,
            upload=upload,
            visit=visit,
            reference=f"{kind}-{number}",
            kind=kind,
            typed_value="2",
            value=13.0 if kind == "rope_diameter" else 2.0,
            taken_at=NOW,
        )


def test_findings_are_stored_with_their_readings_and_what_they_share(north):
    send(north, *worn("2.0"))
    assess(north)

    done = latest(north)
    traction = done.findings.filter(topic="traction", place="groove 1").get()
    known = set(Reading.objects.values_list("pk", flat=True))
    assert traction.readings
    assert set(traction.readings) <= known
    assert set(traction.detail["shared"]) <= set(done.inputs["shared"])
    assert done.inputs["shared"]["suspension"]["car_mass_kg"] == 1200.0
    assert traction.contractor_id == north.contractor.pk
    assert traction.created_at is not None
    assert traction.version == 1


def test_answers_are_stored_with_both_ends_and_what_is_assumed(north):
    send(north, *worn("2.0"))
    assess(north)

    found = findings(north, "traction", "groove 1")[0]
    assert found.answer in ("BEYOND", "WITHIN", "OPEN")
    assert found.worst < found.typical < found.best
    names = {each["name"] for each in found.unknowns}
    assert {"car_mass_kg", "seat_depth_mm"} <= names
    assert all(
        each["low"] <= each["typical"] <= each["high"] for each in found.unknowns
    )


def test_a_machine_with_checks_missing_is_not_called_in_order(north):
    send(north, *worn("4.0"))
    assess(north)

    made = latest(north).checks
    assert latest(north).grade in (Grade.NOT_ASSESSED, Grade.PLAN_WORK)
    assert made["made"] + len(made["missed"]) == made["of"]
    assert {"check": "crack", "place": "crack", "why": "NEVER_READ"} in [
        {name: each[name] for name in ("check", "place", "why")}
        for each in made["missed"]
    ]


def test_same_inputs_are_not_assessed_twice(north):
    send(north, *worn("2.0"))

    first, second = assess(north), assess(north)

    assert first
    assert second == ()
    assert Assessment.objects.count() == 1


def test_another_reading_makes_another_assessment(north):
    send(north, *worn("2.0"))
    assess(north)
    send(north, *worn("1.9"), day="2026-05-20")
    assess(north)

    assert Assessment.objects.count() == 2
    assert findings(north, "bottom clearance", "groove 1")[0].value == 1.9


def test_a_change_in_the_register_makes_another_assessment(north):
    send(north, *worn("2.0"))
    assess(north)
    Machine.objects.filter(code="MH-1").update(car_mass_kg=1300.0, version=2)
    assess(north)

    assert Assessment.objects.count() == 2
    assert latest(north).inputs["shared"]["suspension"]["car_mass_kg"] == 1300.0


def test_a_traction_test_that_grew_stale_makes_another_assessment(north):
    send(
        north,
        *worn("2.0"),
        {"kind": "slip_seen", "value": "no", "unit": ""},
        day="2025-07-01",
        kind="SLIP_TEST",
    )
    assess(north)
    again = assess(north)
    assert (again, Assessment.objects.count()) == ((), 1)

    assess(north, at=NOW.replace(month=8))
    assert Assessment.objects.count() == 2


def test_limits_replace_those_of_the_assessment_before(north):
    send(north, *worn("2.0"))
    assess(north)
    before = set(WearLimit.objects.values_list("pk", flat=True))
    Machine.objects.filter(code="MH-1").update(wrap_angle_deg=160.0, version=2)
    assess(north)

    after = set(WearLimit.objects.values_list("pk", flat=True))
    assert before
    assert after
    assert not before & after
    assert set(WearLimit.objects.values_list("assessment", flat=True)) == {
        latest(north).pk
    }


def test_a_limit_that_no_longer_binds_is_gone(north):
    send(north, *worn("2.0"))
    assess(north)
    Machine.objects.filter(code="MH-1").update(roping_ratio=4, version=2)
    assess(north)

    assert not WearLimit.objects.filter(quantity="seat_depth").exists()


def test_number_of_queries_does_not_grow_with_the_machines():
    codes = [f"G-{number}" for number in range(22)]
    portfolio = factories.portfolio(code="wide")
    portfolio["buildings"][0]["machines"] = [
        factories.undercut_machine() | {"code": code} for code in codes
    ]
    contractor = registry.register(portfolio=portfolio)
    for number, code in enumerate(codes):
        stored(contractor, Machine.objects.get(code=code), number)
    ids = list(Machine.objects.filter(code__in=codes).values_list("pk", flat=True))

    counts = []
    for some in (ids[:2], ids[2:]):
        with CaptureQueriesContext(connection) as caught:
            assessment.assess(
                scope=Scope(contractor_id=contractor.pk), machine_ids=some, as_of=NOW
            )
        counts.append(len(caught))

    assert counts[0] == counts[1]
    # Nine of them keep the machines' states.
    assert counts[0] < 37


def test_loading_sees_no_other_contractors_rows(north):
    south = factories.cast(code="south")
    send(north, *worn("2.0"))
    callers.confine(south)
    machine = factories.machine(south.scope())

    found = inputs.load(scope=south.scope(), machine_ids=[machine.pk], as_of=NOW)

    assert found[0].readings == ()


def test_machines_of_another_contractor_are_not_assessed(north):
    south = factories.cast(code="south")
    callers.confine(south)
    theirs = factories.machine(south.scope()).pk
    callers.confine(north)

    ids = assessment.assess(scope=north.scope(), machine_ids=[theirs], as_of=NOW)

    assert ids == ()
    assert not Assessment.objects.exists()


def test_jobs_for_the_forecasts_are_written_with_the_findings(north):
    send(north, *worn("2.0"))
    ids = assess(north)

    assert {job.kind for job in Job.objects.filter(pk__in=ids)} == {assessment.PROJECT}


def test_overridden_limit_of_the_building_is_judged_and_named(north):
    Building.objects.filter(code="mill-house").update(
        criteria_overrides={
            "bottom_clearance_least": {"value": 1.5, "source": "maker's letter"}
        }
    )
    send(north, *worn("1.2"))
    assess(north)

    found = findings(north, "bottom clearance", "groove 1")[0]
    assert found.grade == Grade.ACT_NOW
    assert found.limit == 1.5
    assert "maker's letter" in found.source


class TestUnconfirmed:
    """An implausible reading acts as if true, and closes nothing."""

    def test_acts_as_if_true_and_is_marked(self, north):
        answer = send(north, *worn("0.3"))
        assess(north)

        found = findings(north, "bottom clearance", "groove 1")[0]
        warnings = [r["warning"] for r in answer["readings"] if "warning" in r]
        asked = warnings.count("unconfirmed: act as if true, measure again now")
        assert asked == 5
        assert found.unconfirmed
        assert found.grade == Grade.ACT_NOW
        assert found.stops_service

    def test_is_not_marked_any_more_once_someone_confirms_it(self, north):
        send(north, *worn("0.3"))
        assess(north)
        for row in Reading.objects.filter(state="UNCONFIRMED"):
            confirm(north, row.reference)
        assess(north)

        found = findings(north, "bottom clearance", "groove 1")[0]
        assert not found.unconfirmed
        assert Assessment.objects.count() == 2

    def test_never_clears_an_older_open_finding(self, north):
        """A rope read far too thin: the clearance above it cannot be trusted."""
        send(north, *worn("0.4"))
        for row in Reading.objects.filter(state="UNCONFIRMED"):
            confirm(north, row.reference)
        assess(north)
        send(north, *worn("3.0", diameter="9.0"), day="2026-05-20")
        assess(north)

        found = findings(north, "bottom clearance", "groove 1")
        kept = [row for row in found if row.grade == Grade.ACT_NOW]
        assert len(kept) == 1
        assert kept[0].value == 0.4
        assert kept[0].stops_service
        assert latest(north).grade == Grade.ACT_NOW

    def test_more_clearance_by_the_same_hand_clears_nothing(self, north):
        send(north, *worn("0.4"))
        assess(north)
        send(north, *worn("3.0"), day="2026-05-25")
        assess(north)

        found = findings(north, "bottom clearance", "groove 1")
        assert [(row.grade, row.value) for row in found] == [(Grade.ACT_NOW, 0.4)]

    def test_held_reading_is_not_used_at_all(self, north):
        send(north, *worn("0.4"))
        assess(north)
        send(north, *worn("12.0"), day="2026-05-20")
        assess(north)

        assert findings(north, "bottom clearance", "groove 1")[0].value == 0.4


@pytest.mark.django_db(transaction=True)
def test_two_runs_at_once_do_not_double(monkeypatch):
    monkeypatch.setattr("celery.current_app.send_task", lambda *_, **__: None)
    from django.db import transaction

    with transaction.atomic():
        north = factories.cast(code="north")
        send(north, *worn("2.0"))
        machine = factories.machine(north.scope()).pk
    barrier = threading.Barrier(2)
    problems = []

    def run():
        try:
            with acting_for(contractor_id=north.contractor.pk) as scope:
                barrier.wait(timeout=20)
                assessment.assess(scope=scope, machine_ids=[machine], as_of=NOW)
        except Exception as error:
            problems.append(error)
        finally:
            connections.close_all()

    threads = [threading.Thread(target=run) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)

    assert problems == []
    with acting_for(contractor_id=north.contractor.pk):
        assert Assessment.objects.filter(machine=machine).count() == 1
        assert Finding.objects.filter(machine=machine, topic="traction").count() == 5
