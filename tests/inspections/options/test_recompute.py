"""Rows to facts to stored options: once, in constant queries, or not at all."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import Job
from fleet.platform.queue import jobs
from inspections import inputs, options, versions
from inspections.decisions.records import OptionKind
from inspections.models import DueWork, Finding, Forecast, OptionSet
from inspections.options import facts, loading
from inspections.reasons import Code, from_json
from tests import callers, estates, factories
from tests.inspections.options import worn

pytestmark = pytest.mark.django_db


def facts_of(cast, machine, at=worn.AT):
    callers.confine(cast)
    [snapshot] = inputs.load(scope=cast.scope(), machine_ids=[machine.pk], as_of=at)
    found = loading.judged(scope=cast.scope(), machine_ids=[machine.pk])
    return facts.facts_of(snapshot=snapshot, judged=found[machine.pk])


@pytest.fixture
def bare():
    """A contractor of whose machine nobody has read anything."""
    return factories.cast(code="south")


def stored(cast):
    callers.confine(cast)
    return OptionSet.objects.get()


# --- facts ----------------------------------------------------------------------------
def test_facts_hold_what_was_found_and_forecast_of_the_machine(with_worn):
    north, machine = with_worn

    found = facts_of(north, machine)

    callers.confine(north)
    assert (found.rope_count, found.rope_diameter_mm) == (5, 13.0)
    assert len(found.findings) == Finding.objects.count()
    assert len({finding.key for finding in found.findings}) == len(found.findings)
    dated = {(f.quantity, f.place, f.plan_before_on) for f in Forecast.objects.all()}
    assert {(a.quantity, a.place, a.plan_before_on) for a in found.ahead} == dated
    assert {str(margin.case) for margin in found.margins} >= {"LOADING", "STALLED_CAR"}
    assert [seat.groove for seat in found.seats] == [1, 2, 3, 4, 5]
    assert all(3.0 < seat.depth_mm < 3.4 for seat in found.seats)
    assert found.sheave.pitch_diameter_turned_mm == 600.0


def test_facts_leave_open_what_nobody_read(bare):
    callers.confine(bare)
    machine = factories.machine(bare.scope())

    found = facts_of(bare, machine)

    assert (found.findings, found.ahead, found.margins) == ((), (), ())
    assert (found.rim, found.sheave, found.seats) == (None, None, ())
    assert (found.proof.crack_free, found.ropes_oiled) == (None, None)
    # Worked out from travel, roping and wrap, and so not exact.
    assert found.rope_length_spread > 0.0
    assert (found.new_rope_is_pinched, found.feed_is_equal) == (None, None)
    assert found.rim_is_renewable is None


def test_the_margin_of_a_case_is_the_least_of_all_ropes(with_worn):
    north, machine = with_worn

    found = facts_of(north, machine)

    callers.confine(north)
    for margin in found.margins:
        told = [
            case["margin"]
            for row in Finding.objects.filter(topic="traction")
            for case in row.detail["cases"]
            if case["tensions"]["case"] == margin.case
        ]
        assert len(told) == 5
        assert margin.now == min(told)


# --- storing --------------------------------------------------------------------------
def test_a_machine_gets_one_option_of_every_kind(with_worn):
    north, _ = with_worn

    found = stored(north)

    kinds = {option["kind"] for option in found.options}
    assert kinds == {str(kind) for kind in OptionKind}
    assert [option["rank"] for option in found.options] == list(
        range(1, len(OptionKind) + 1)
    )
    assert found.first_kind == found.options[0]["kind"]
    assert found.as_of == worn.AT


def test_each_reason_is_stored_as_its_code_beside_its_words(with_worn):
    north, _ = with_worn

    found = stored(north).options

    for option in found:
        for name in ("reasons", "blocked_because", "pointless_because"):
            for reason in option[name]:
                said = from_json(reason["said"])
                assert isinstance(said.code, Code)
                assert str(said) == reason["text"]
        wanted = option["measure_before"], option["measure_before_said"]
        assert len(wanted[0]) == len(wanted[1])
    assert any(option["reasons"] for option in found)
    assert any(option["measure_before_said"] for option in found)


def test_a_second_run_changes_nothing(with_worn):
    # fault 2
    north, machine = with_worn
    before, lines = stored(north), set(DueWork.objects.values_list("pk", flat=True))

    again = options.recompute(
        scope=north.scope(), machine_ids=[machine.pk], as_of=worn.AT
    )

    after = stored(north)
    assert again == 0
    assert (after.pk, after.version) == (before.pk, before.version)
    assert set(DueWork.objects.values_list("pk", flat=True)) == lines


def test_the_next_night_counts_the_version_up_and_keeps_one_row(with_worn):
    north, machine = with_worn
    before = stored(north)

    options.recompute(
        scope=north.scope(),
        machine_ids=[machine.pk],
        as_of=worn.AT + timedelta(days=1),
    )

    after = stored(north)
    assert (after.pk, after.version) == (before.pk, before.version + 1)
    assert after.as_of == worn.AT + timedelta(days=1)


def test_the_list_of_what_is_due_has_the_proposal(with_worn):
    north, machine = with_worn

    found = stored(north)
    first = found.options[0]

    line = DueWork.objects.get()
    assert (line.machine_id, line.state) == (machine.pk, "PROPOSED")
    assert (line.kind, line.planned_work_id) == (first["kind"], None)
    assert str(line.due_before_on) == (
        first["plan_before_on"] or first["next_reading_on"]
    )
    assert line.owner_id == machine.building.owner_id
    assert line.part == "rope 13 mm, 8x19, fibre core, 1370/1770 MPa"
    assert line.reason.startswith("to be decided when this is known: metal")


def test_queries_do_not_grow_with_the_machines(bare):
    estates.grow(bare, machines=6)
    callers.confine(bare)
    ids = list(type(factories.machine(bare.scope())).objects.values_list("pk"))
    flat = sorted(pk for (pk,) in ids)

    def asked(machine_ids):
        with CaptureQueriesContext(
            connection,
        ) as queries:
            options.recompute(
                scope=bare.scope(), machine_ids=machine_ids, as_of=worn.AT
            )
        return len(queries)

    few, many = asked(flat[2:4]), asked(flat[4:8])

    assert few == many


# --- jobs -----------------------------------------------------------------------------
def test_a_killed_job_leaves_nothing_behind(with_worn, monkeypatch):
    # fault 1: the rows of the work and the end of the job are one transaction.
    north, machine = with_worn
    before = stored(north)
    [job_id] = jobs.write(
        kind=options.OF_MACHINE,
        contractor_id=north.contractor.pk,
        subject_ids=[machine.pk],
        due_at=worn.AT,
    )
    next_day = worn.AT + timedelta(days=1)

    def dies(job):
        options.recompute(
            scope=north.scope(), machine_ids=[job.subject_id], as_of=next_day
        )
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        jobs.perform(job_id=job_id, activity=dies, clock=lambda: next_day)

    assert stored(north).version == before.version
    assert Job.objects.get(pk=job_id).state == "RUNNING"


def test_all_machines_are_worked_out_in_chunks(bare, monkeypatch):
    monkeypatch.setattr("inspections.options.working_out.CHUNK", 3)
    estates.grow(bare, machines=5)
    callers.confine(bare)

    ids = options.order_all(scope=bare.scope(), now=worn.AT)

    chunks = list(Job.objects.filter(pk__in=ids).order_by("subject_id"))
    assert len(chunks) == 3
    for job in chunks:
        options.recompute_chunk(
            scope=bare.scope(), first_id=job.subject_id, as_of=worn.AT
        )
    assert OptionSet.objects.filter(as_of=worn.AT).count() == 7


@pytest.mark.parametrize(("stored_by", "replaces"), [("99", False), ("0", True)])
def test_older_rules_never_replace_options_of_newer_ones(
    with_worn, stored_by, replaces
):
    north, machine = with_worn
    OptionSet.objects.update(rules_version=stored_by, inputs_digest="0" * 64)
    how = {"scope": north.scope(), "machine_ids": [machine.pk], "as_of": worn.AT}

    if replaces:
        assert options.recompute(**how) == 1
        assert stored(north).rules_version == str(versions.DECIDING)
    else:
        with pytest.raises(versions.NewerRules, match="version 99 stands"):
            options.recompute(**how)
        assert stored(north).rules_version == "99"
