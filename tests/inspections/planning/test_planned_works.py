"""From an option to planned work: who may choose what, and what is kept."""

from datetime import date

import pytest
from django.utils import translation

from inspections import reasons, wording
from inspections.decisions.records.kind import OptionKind
from inspections.models import DueWork, OptionSet, PlannedStep, PlannedWork
from tests import callers, factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def north(with_worn):
    return with_worn[0]


@pytest.fixture
def machine(with_worn):
    return with_worn[1]


def choose(cast, machine, option="REPLACE_SHEAVE", *, role="OFFICE", **more):
    body = {"machine": machine.pk, "option": option} | more
    return callers.call(cast, "POST", "/api/v1/planned-works", body, role=role)


def change(cast, answer, **body):
    return callers.call(
        cast,
        "PATCH",
        f"/api/v1/planned-works/{answer.json()['id']}",
        body,
        If_Match=answer["ETag"],
    )


def restated(cast, **changes):
    """Give the stored options of the machine other properties."""
    callers.confine(cast)
    row = OptionSet.objects.get()
    options = [
        option | (changes if option["kind"] == "REPLACE_SHEAVE" else {})
        for option in row.options
    ]
    OptionSet.objects.filter(pk=row.pk).update(options=options)


REASON = [{"text": "it eats the new ropes", "source": "our rule"}]


# --- the options ----------------------------------------------------------------------
def test_the_options_of_a_machine_carry_reasons_sources_and_cautions(north, machine):
    answer = callers.call(north, "GET", f"/api/v1/machines/{machine.pk}/options")

    body = answer.json()
    assert answer.status_code == 200, answer.content
    assert len(body["options"]) == len(OptionKind)
    assert body["cautions"][0].startswith("A calculation from readings as taken")
    first = body["options"][0]
    assert all(reason["source"] for reason in first["reasons"])
    assert "cost" in first
    callers.confine(north)
    assert answer["ETag"] == f'"{OptionSet.objects.get().pk}-1"'


def test_before_anything_is_worked_out_there_are_no_options(db):
    north = factories.cast(code="south")
    callers.confine(north)
    machine = factories.machine(north.scope())

    answer = callers.call(north, "GET", f"/api/v1/machines/{machine.pk}/options")

    assert (answer.json()["as_of"], answer.json()["options"]) == (None, [])
    assert callers.is_problem(choose(north, machine), 409, "option-not-offered")


@pytest.mark.parametrize("role", ["TECHNICIAN", "OWNER_READER"])
def test_what_it_costs_is_the_offices(north, machine, role):
    choose(north, machine)

    options = callers.call(
        north, "GET", f"/api/v1/machines/{machine.pk}/options", role=role
    ).json()["options"]
    [planned] = callers.call(north, "GET", "/api/v1/planned-works", role=role).json()[
        "results"
    ]
    [line, *_] = callers.call(north, "GET", "/api/v1/due-works", role=role).json()[
        "results"
    ]

    assert not any("cost" in option for option in options)
    assert "cost" not in planned["planned"]
    assert not {"cost_low", "cost_high", "currency"} & set(line)


# --- choosing -------------------------------------------------------------------------
def test_an_option_that_is_chosen_becomes_planned_work(north, machine):
    answer = choose(north, machine, note="with the neighbour")

    body = answer.json()
    assert answer.status_code == 201, answer.content
    assert (body["state"], body["kind"]) == ("PLANNED", "REPLACE_SHEAVE")
    assert body["reported_as"] == "SHEAVE_REPLACEMENT"
    assert body["chosen_by"] == north.memberships["OFFICE"].pk
    assert body["due_before_on"] == body["planned"]["plan_before_on"] is not None
    assert body["planned"]["worked_out"]["version"] == 1
    assert [step["words"] for step in body["steps"]] == [
        "chosen: replace the sheave and re-rope"
    ]
    assert answer["Location"].endswith(f"/planned-works/{body['id']}")


def test_planned_work_takes_its_place_on_the_list(north, machine):
    pk = choose(north, machine, due_before_on="2026-09-01").json()["id"]

    callers.confine(north)
    line = DueWork.objects.get(planned_work=pk)
    assert (line.state, str(line.due_before_on)) == ("PLANNED", "2026-09-01")
    assert line.hoists
    assert line.part == "rope 13 mm, 8x19, fibre core, 1370/1770 MPa"


def test_the_options_may_change_and_the_plan_keeps_what_was_chosen(north, machine):
    body = choose(north, machine).json()
    restated(north, plan_before_on="2031-01-01")

    again = callers.call(north, "GET", f"/api/v1/planned-works/{body['id']}").json()

    assert again["planned"] == body["planned"]


def test_the_same_kind_is_planned_once(north, machine):
    choose(north, machine)

    assert callers.is_problem(choose(north, machine), 409, "already-there")


@pytest.mark.parametrize("role", ["TECHNICIAN", "OWNER_READER"])
def test_only_the_office_chooses(north, machine, role):
    answer = choose(north, machine, role=role)

    assert callers.is_problem(answer, 403, "permission-denied")


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"blocked_because": REASON}, "it is blocked: it eats the new ropes"),
        ({"possible": "NO", "reasons": REASON}, "it is not possible: it eats"),
    ],
)
def test_what_is_blocked_or_impossible_cannot_be_chosen(north, machine, changes, words):
    restated(north, **changes)

    answer = choose(north, machine, although="we want it")

    assert callers.is_problem(answer, 409, "option-not-offered")
    assert answer.json()["detail"].startswith(words)
    callers.confine(north)
    assert not PlannedWork.objects.exists()


def test_what_would_not_help_is_chosen_only_with_a_reason(north, machine):
    restated(north, pointless_because=REASON)

    without = choose(north, machine)
    taken = choose(north, machine, although="the tenant moves out")

    assert callers.is_problem(without, 422, "not-this-way")
    assert taken.status_code == 201
    assert taken.json()["steps"][0]["words"].endswith("although: the tenant moves out")


def test_watching_is_no_answer_to_what_stops_service(north, machine):
    callers.confine(north)
    row = OptionSet.objects.get()
    stopped = [option | {"out_of_service": True} for option in row.options]
    OptionSet.objects.filter(pk=row.pk).update(options=stopped)

    answer = choose(north, machine, "WATCH", although="it ran so far")

    assert callers.is_problem(answer, 409, "option-not-offered")
    assert "out of service until a competent person" in answer.json()["detail"]


def test_a_window_that_ends_before_it_begins_is_refused(north, machine):
    days = {"window_from_on": "2026-09-02", "due_before_on": "2026-09-01"}

    assert callers.is_problem(choose(north, machine, **days), 422, "not-this-way")


def test_another_contractors_machine_is_not_there(north, machine):
    south = factories.cast(code="south")

    assert callers.is_problem(choose(south, machine), 404, "not-found")


# --- on its way -----------------------------------------------------------------------
def test_planned_work_is_ordered_and_every_step_is_kept(north, machine):
    chosen = change(north, choose(north, machine), order_by_on="2026-09-01")
    callers.confine(north)
    line = DueWork.objects.get(kind="REPLACE_SHEAVE")
    assert line.order_by_on == date(2026, 9, 1)

    ordered = change(north, chosen, state="ORDERED", words="order 4711")

    assert ordered.json()["state"] == "ORDERED"
    assert [s["words"] for s in ordered.json()["steps"]][2:] == ["order 4711"]
    callers.confine(north)
    line = DueWork.objects.get(kind="REPLACE_SHEAVE")
    assert (line.state, line.order_by_on) == ("ORDERED", None)
    # what was planned is kept
    assert ordered.json()["order_by_on"] == "2026-09-01"


def test_a_change_names_the_version_it_changes(north, machine):
    chosen = choose(north, machine)
    change(north, chosen, note="first")

    late = change(north, chosen, note="second")
    path = f"/api/v1/planned-works/{chosen.json()['id']}"
    without = callers.call(north, "PATCH", path, {"note": "x"})

    assert callers.is_problem(late, 412, "changed-meanwhile")
    assert callers.is_problem(without, 428, "if-match-required")


def test_dropped_work_says_why_leaves_the_list_and_stays_closed(north, machine):
    chosen = choose(north, machine)

    silent = change(north, chosen, state="DROPPED")
    dropped = change(north, chosen, state="DROPPED", words="the house is pulled down")
    again = change(north, dropped, state="PLANNED", words="after all")

    assert callers.is_problem(silent, 422, "not-this-way")
    assert dropped.json()["state"] == "DROPPED"
    assert callers.is_problem(again, 409, "planned-work-closed")
    callers.confine(north)
    assert not DueWork.objects.filter(state="PLANNED").exists()
    # The option may be chosen anew.
    assert choose(north, machine).status_code == 201


def test_work_that_is_reported_is_not_done_by_a_word(north, machine):
    chosen = choose(north, machine)

    answer = change(north, chosen, state="DONE", words="they said so")

    assert callers.is_problem(answer, 422, "not-this-way")


def test_measuring_is_done_by_a_word(north, machine):
    chosen = choose(north, machine, "MEASURE_FIRST")

    answer = change(north, chosen, state="DONE", words="rim survey of 4 May")

    assert answer.json()["state"] == "DONE", answer.content
    assert answer.json()["done_on"] is not None


def test_steps_are_kept_as_codes_beside_their_words(north, machine):
    chosen = choose(north, machine, although="the tenant moves out")
    moved = change(
        north, chosen, state="ORDERED", due_before_on="2026-09-01", order_by_on=None
    )
    told = change(north, moved, note="key at the porter's", words="call first")
    answer = change(north, told, note="no key")

    steps = answer.json()["steps"]
    said = [step["said"] for step in steps]
    assert [each["code"] for each in said] == [
        "plan_chosen_although",
        "plan_state",
        "note",
        "plan_other_note",
    ]
    assert said[0]["values"] == {
        "work": {"term": "work_replace_sheave"},
        "why": "the tenant moves out",
    }
    assert [each["code"] for each in said[1]["also"]] == ["plan_day", "plan_no_day"]
    assert [step["words"] for step in steps][1:] == [
        "state: ordered; due before: 2026-09-01; order by: no day",
        "call first",
        "another note",
    ]
    with translation.override("de"):
        assert wording.say(reasons.from_json(said[1])) == (
            "Stand: bestellt; fällig vor: 01.09.2026; bestellen bis: kein Tag"
        )


def test_step_of_an_earlier_version_keeps_its_words(north, machine):
    body = choose(north, machine).json()
    callers.confine(north)
    PlannedStep.objects.create(
        contractor_id=north.contractor.pk,
        planned_work_id=body["id"],
        state="PLANNED",
        words="due before on: 2026-08-01",
    )

    again = callers.call(north, "GET", f"/api/v1/planned-works/{body['id']}").json()

    last = again["steps"][-1]
    assert (last["words"], last["said"]) == ("due before on: 2026-08-01", None)


def test_steps_cannot_be_edited(north, machine):
    choose(north, machine)
    callers.confine(north)

    with pytest.raises(Exception, match=r"permission denied|append-only"):
        PlannedStep.objects.update(words="")
