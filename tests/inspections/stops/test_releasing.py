"""A stop ends by accepted work or by refutation, said by a competent person."""

import pytest

from fleet.models import Work
from inspections.models import Finding, Reading, ReadingReview, Stop
from tests import callers, factories
from tests.inspections.stops.conftest import (
    NO_SLIP,
    SLIP,
    ask,
    kinds,
    machine,
    mark_competent,
    repair,
    stops,
)

pytestmark = pytest.mark.django_db

SLIDES = {"kind": "brake_slide_seen", "rope": None, "value": "yes"}
HOLDS = {"kind": "brake_slide_seen", "rope": None, "value": "no"}
WHY = {"why": "new linings, braked from full speed three times"}


def breaks(number, *, rope=1):
    return {
        "kind": "breaks_total",
        "rope": rope,
        "value": str(number),
        "unit": "1",
        "place": {"window": "lay"},
    }


@pytest.fixture
def sliding(north, read, assess):
    """A brake that slid, a competent person in the office."""
    mark_competent(north)
    read(SLIDES)
    assess()
    [stop] = stops(north)
    return stop


def repaired(cast, assess, *readings, **work):
    pk = repair(cast, *(readings or (HOLDS,)), **work)
    assess()
    return pk


def accept(cast, stop, work, **how):
    return ask(cast, stop, "accept", {"work": work, **WHY}, **how)


# --- by work --------------------------------------------------------------------------
def test_work_read_as_left_and_accepted_releases(north, sliding, assess):
    work = repaired(north, assess)

    answer = accept(north, sliding, work)

    assert answer.status_code == 200, answer.content
    body = answer.json()
    assert (body["release"], body["release_work"]) == ("WORK", work)
    assert body["released_by"] == north.memberships["OFFICE"].pk
    assert body["release_why"] == WHY["why"]
    assert [event["kind"] for event in body["events"]] == ["RAISED", "TOLD", "RELEASED"]
    [left] = Reading.objects.filter(visit__kind="AS_LEFT").values_list("pk", flat=True)
    assert body["release_readings"] == [left]
    page = callers.call(north, "GET", f"/api/v1/machines/{machine(north).pk}/page")
    assert page.json()["out_of_service"] is False


def test_a_released_stop_is_raised_anew_by_a_new_reading_only(
    north, sliding, assess, read
):
    accept(north, sliding, repaired(north, assess))
    read(breaks(0), at="2026-05-06T10:00:00+01:00")
    assess()
    assert [each.is_open for each in stops(north)] == [False]

    read(SLIDES, at="2026-05-07T10:00:00+01:00")

    assert [each.is_open for each in stops(north)] == [False, True]


def test_what_was_read_before_the_work_was_left_raises_nothing_again(
    north, sliding, assess, read
):
    accept(north, sliding, repaired(north, assess))

    # From a device that was without a network until now.
    read(SLIDES, at="2026-05-05T08:00:00+01:00")

    assert [each.is_open for each in stops(north)] == [False]


def stands_on(stop, *readings):
    """Let a finding of the stop's cause stand that rests on some readings alone."""
    found = Finding.objects.filter(topic="brake", current=True)
    assert found.update(
        grade="ACT_NOW", stops_service=True, readings=[row.pk for row in readings]
    )
    assert all(row.machine_id == stop.machine_id for row in readings)


def test_a_finding_on_what_the_work_answered_blocks_no_acceptance(
    north, sliding, assess, read
):
    read(breaks(0), at="2026-05-03T10:00:00+01:00")
    work = repaired(north, assess)
    old = Reading.objects.get(kind="breaks_total")
    stands_on(sliding, old)

    assert accept(north, sliding, work).status_code == 200


def test_a_finding_on_what_was_read_as_left_blocks_acceptance(
    north, sliding, assess, read
):
    read(breaks(0), at="2026-05-03T10:00:00+01:00")
    work = repaired(north, assess)
    old = Reading.objects.get(kind="breaks_total")
    left = Reading.objects.get(visit__kind="AS_LEFT")
    stands_on(sliding, old, left)

    answer = accept(north, sliding, work)

    assert callers.is_problem(answer, 409, "still-stops")


def test_nobody_competent_releases_nothing(north, sliding, assess):
    work = repaired(north, assess)
    mark_competent(north, until="2026-05-03")

    answer = accept(north, sliding, work)

    assert callers.is_problem(answer, 409, "not-competent")
    assert [each.is_open for each in stops(north)] == [True]


def test_the_last_day_of_a_qualification_still_counts(north, sliding, assess):
    work = repaired(north, assess)
    mark_competent(north, until=factories.NOW.date().isoformat())

    assert accept(north, sliding, work).status_code == 200


def test_whoever_read_it_as_left_does_not_accept_it(north, sliding, assess):
    work = repaired(north, assess)
    mark_competent(north, "TECHNICIAN")

    answer = accept(north, sliding, work, role="TECHNICIAN")

    assert callers.is_problem(answer, 409, "own-work")


def test_whoever_did_the_work_does_not_accept_it(north, sliding, assess):
    work = repaired(north, assess, done_by="North-Office ")

    assert callers.is_problem(accept(north, sliding, work), 409, "own-work")


@pytest.mark.parametrize(
    "named", ["north-office and a fitter", "a fitter, then anna@lifts.example"]
)
def test_whoever_is_named_among_others_does_not_accept_it(
    north, sliding, assess, named
):
    work = repaired(north, assess, done_by=named)

    assert callers.is_problem(accept(north, sliding, work), 409, "own-work")


def test_a_longer_name_is_another_person(north, sliding, assess):
    work = repaired(north, assess, done_by="north-offices")

    assert accept(north, sliding, work).status_code == 200


def test_whoever_is_named_by_membership_does_not_accept_it(north, sliding, assess):
    office = north.memberships["OFFICE"].pk
    work = repaired(north, assess, done_by_member=office)

    assert Work.objects.get(pk=work).done_by_member == office
    assert callers.is_problem(accept(north, sliding, work), 409, "own-work")


def test_work_of_another_member_is_accepted(north, sliding, assess):
    technician = north.memberships["TECHNICIAN"].pk
    work = repaired(north, assess, done_by_member=technician)

    assert accept(north, sliding, work).status_code == 200


def test_whoever_reports_work_and_names_nobody_has_done_it(
    north, sliding, assess, read
):
    work = repaired(north, assess, done_by="")
    read(HOLDS, at="2026-05-05T16:00:00+01:00", kind="AS_LEFT", role="OFFICE")
    assess()
    mark_competent(north, "TECHNICIAN")

    assert Work.objects.get(pk=work).done_by_member == (
        north.memberships["TECHNICIAN"].pk
    )
    answer = accept(north, sliding, work, role="TECHNICIAN")
    assert callers.is_problem(answer, 409, "own-work")


@pytest.mark.parametrize("whose", ["OWNER_READER", "nobody"])
def test_work_done_by_no_member_of_ours_is_refused(north, sliding, whose):
    member = north.memberships.get(whose)
    body = {
        "kind": "REPAIR",
        "done_on": "2026-05-04",
        "done_by_member": member.pk if member else 2**40,
    }
    path = f"/api/v1/machines/{machine(north).pk}/works"

    answer = callers.call(north, "POST", path, body, role="TECHNICIAN")

    assert callers.is_problem(answer, 422, "unknown-member")
    callers.confine(north)
    assert not Work.objects.exists()


def test_an_owners_reader_is_told_of_no_membership(north, sliding, assess):
    work = repaired(north, assess, done_by_member=north.memberships["TECHNICIAN"].pk)

    shown = callers.call(north, "GET", f"/api/v1/works/{work}", role="TECHNICIAN")
    reader = callers.call(north, "GET", f"/api/v1/works/{work}", role="OWNER_READER")

    assert "done_by_member" in shown.json()
    assert "done_by_member" not in reader.json()


def test_other_work_answers_nothing(north, sliding, assess):
    work = repaired(north, assess, kind="LUBRICATION")

    assert callers.is_problem(accept(north, sliding, work), 422, "does-not-answer")


def test_work_from_before_the_reading_answers_nothing(north, sliding, assess, read):
    work = repaired(north, assess)
    read(SLIDES, at="2026-05-06T10:00:00+01:00")
    assess()

    assert callers.is_problem(accept(north, sliding, work), 422, "does-not-answer")


def test_work_of_another_machine_answers_nothing(north, sliding):
    callers.confine(north)
    other = Work.objects.create(
        contractor=north.contractor,
        machine=machine(north, "QC-1"),
        kind="REPAIR",
        done_on="2026-05-05",
    )

    answer = accept(north, sliding, other.pk)
    assert callers.is_problem(answer, 422, "does-not-answer")


@pytest.mark.parametrize("left", [NO_SLIP, breaks(0)])
def test_another_reading_as_left_does_not_do(north, sliding, assess, left):
    work = repaired(north, assess, left)

    assert callers.is_problem(accept(north, sliding, work), 422, "not-read-as-left")


def test_a_routine_reading_is_none_as_left(north, sliding, assess, read):
    work = repaired(north, assess, NO_SLIP)
    read(HOLDS, at="2026-05-06T10:00:00+01:00")
    assess()

    assert callers.is_problem(accept(north, sliding, work), 422, "not-read-as-left")


def test_it_is_judged_anew_first(north, sliding):
    work = repair(north, HOLDS)

    assert callers.is_problem(accept(north, sliding, work), 409, "not-judged-anew")


@pytest.mark.parametrize("word", ["not seen", "defect"])
def test_not_seen_as_left_is_not_in_order(north, read, assess, word):
    mark_competent(north)
    hub = {"kind": "check", "rope": None, "place": {"part": "hub"}}
    read({**hub, "value": "defect"})
    assess()
    work = repaired(north, assess, {**hub, "value": word})
    [stop] = stops(north)

    answer = accept(north, stop, work)

    assert answer.status_code == 422, answer.content
    assert stops(north)[0].is_open


# --- by refutation --------------------------------------------------------------------
def test_a_slip_is_refuted_only_after_looking_again(north, read, assess):
    mark_competent(north)
    read(SLIP)
    assess()
    [stop] = stops(north)
    early = ask(north, stop, "refute", {"why": "it was the brake"})
    read(NO_SLIP, at="2026-05-05T10:00:00+01:00")
    assess()

    late = ask(north, stop, "refute", {"why": "it was the brake"})

    assert callers.is_problem(early, 422, "look-again")
    assert late.status_code == 200, late.content
    assert late.json()["release"] == "REFUTED"
    assert len(late.json()["release_readings"]) == 1


def test_looking_at_another_part_is_not_looking_again(north, read, assess):
    mark_competent(north)
    check = {"kind": "check", "rope": None}
    read({**check, "value": "defect", "place": {"part": "crack"}})
    [stop] = stops(north)
    for word, part in (("pass", "hub"), ("not seen", "crack")):
        read(
            {**check, "value": word, "place": {"part": part}},
            at="2026-05-05T10:00:00+01:00",
        )

        answer = ask(north, stop, "refute", {"why": "a scratch"})
        assert callers.is_problem(answer, 422, "look-again")


def test_a_reading_set_aside_is_used_no_more_and_raises_nothing(north, read, assess):
    mark_competent(north)
    read(breaks(60))
    assess()
    [stop] = stops(north)
    [pk] = stop.readings

    answer = ask(north, stop, "refute", {"why": "another rope", "set_aside": [pk]})
    assess()

    assert answer.status_code == 200, answer.content
    assert ReadingReview.objects.get(reading=pk).accepted is False
    assert [each.is_open for each in stops(north)] == [False]


def thin(value_mm, *, rope=1):
    return [
        {
            "kind": "rope_diameter",
            "rope": rope,
            "value": str(value_mm),
            "unit": "mm",
            "place": {"station": "top", "direction": way},
        }
        for way in ("1", "2")
    ]


def stopping(cast):
    """Return the topics of the findings that take the machine out of service now."""
    callers.confine(cast)
    found = Finding.objects.filter(current=True, stops_service=True)
    return sorted(set(found.values_list("topic", flat=True)))


def test_nothing_named_sets_aside_what_the_cause_was_read_by(north, read, assess):
    mark_competent(north)
    read(breaks(60), *thin(13.0))
    assess()
    [stop] = stops(north)

    answer = ask(north, stop, "refute", {"why": "counted at another rope"})
    assess()

    assert answer.status_code == 200, answer.content
    assert stopping(north) == []
    aside = ReadingReview.objects.filter(accepted=False)
    assert {row.reading.kind for row in aside} == {"breaks_total"}
    assert [each.is_open for each in stops(north)] == [False]


def test_refuting_a_thin_rope_heals_none_of_its_wires(north, read, assess):
    mark_competent(north)
    read(breaks(60), *thin(11.8))
    assess()
    assert stopping(north) == ["broken wires", "rope diameter"]
    [stop] = stops(north, cause="ROPE_DIAMETER")

    answer = ask(north, stop, "refute", {"why": "the calliper was not at zero"})
    assess()

    assert answer.status_code == 200, answer.content
    assert stopping(north) == ["broken wires"]
    assert stops(north, cause="BROKEN_WIRES")[0].is_open


def test_what_the_readings_that_stay_still_say_is_raised_again(north, read, assess):
    mark_competent(north)
    read(breaks(60))
    read(breaks(80), at="2026-05-05T10:00:00+01:00")
    assess()
    [stop] = stops(north)
    first = min(stop.readings)

    ask(north, stop, "refute", {"why": "another rope", "set_aside": [first]})
    assess()

    assert stopping(north) == ["broken wires"]
    assert [each.is_open for each in stops(north)] == [False, True]


def test_what_the_register_alone_says_is_not_refuted_away(north, read, assess):
    mark_competent(north)
    read(breaks(60))
    assess()
    [stop] = stops(north)
    Stop.objects.filter(pk=stop.pk).update(readings=[])

    answer = ask(north, stop, "refute", {"why": "it cannot be"})

    assert callers.is_problem(answer, 409, "still-stops")
    assert stops(north)[0].is_open


def test_what_is_set_aside_before_a_worker_has_judged_it_stops_all_the_same(
    north, read, assess
):
    [told] = read(breaks(60))["readings"]
    assert not stops(north)

    answer = callers.call(
        north,
        "POST",
        f"/api/v1/readings/{told['id']}/review",
        {"accepted": False, "why": "cannot be"},
        role="OFFICE",
    )
    assess()

    assert answer.status_code == 201, answer.content
    [stop] = stops(north)
    assert (stop.cause, stop.readings) == ("BROKEN_WIRES", [told["id"]])
    assert stop.released_at is None


def test_a_reading_that_is_not_its_own_is_not_set_aside(north, read, assess):
    mark_competent(north)
    read(breaks(60))
    [other] = [r["id"] for r in read(breaks(0, rope=2))["readings"]]
    assess()
    [stop] = stops(north)

    answer = ask(north, stop, "refute", {"why": "wrong", "set_aside": [other]})

    assert callers.is_problem(answer, 422, "not-its-reading")
    assert stops(north)[0].is_open


def test_what_was_refuted_comes_back_when_it_is_worse(north, read, assess):
    mark_competent(north)
    read(breaks(60))
    assess()
    ask(north, stops(north)[0], "refute", {"why": "counted twice"})
    read(breaks(180), at="2026-05-05T10:00:00+01:00")
    assess()

    assert [each.is_open for each in stops(north)] == [False, True]


# --- who, and which version -----------------------------------------------------------
@pytest.mark.parametrize("what", ["accept", "refute"])
def test_an_owners_reader_reads_and_releases_nothing(north, sliding, what):
    mark_competent(north, "OWNER_READER")
    body = {"why": "x"} | ({"work": 1} if what == "accept" else {})

    answer = ask(north, sliding, what, body, role="OWNER_READER")
    seen = callers.call(north, "GET", "/api/v1/stops", role="OWNER_READER").json()

    assert callers.is_problem(answer, 403, "permission-denied")
    assert [row["id"] for row in seen["results"]] == [sliding.pk]


@pytest.mark.parametrize("what", ["accept", "refute"])
def test_another_contractors_stop_is_not_there(north, sliding, what):
    south = factories.cast(code="south")
    mark_competent(south)
    body = {"why": "x"} | ({"work": 1} if what == "accept" else {})

    answer = ask(south, sliding, what, body, tag='"1"')

    assert callers.is_problem(answer, 404, "not-found")


def test_a_release_names_the_version_it_read(north, sliding, assess, read):
    work = repaired(north, assess)
    path = f"/api/v1/stops/{sliding.pk}/accept"
    body = {"work": work, **WHY}
    old = callers.call(north, "GET", f"/api/v1/stops/{sliding.pk}")["ETag"]
    read(SLIDES, at="2026-05-04T12:00:00+01:00")

    none = callers.call(north, "POST", path, body)
    stale = callers.call(north, "POST", path, body, If_Match=old)

    assert callers.is_problem(none, 428, "if-match-required")
    assert callers.is_problem(stale, 412, "changed-meanwhile")


def test_a_stop_is_released_once(north, sliding, assess):
    work = repaired(north, assess)
    accept(north, sliding, work)

    assert callers.is_problem(accept(north, sliding, work), 409, "already-released")
    assert kinds(stops(north)[0]).count("RELEASED") == 1


# --- a test of several cases ----------------------------------------------------------
def tried(case, word):
    return {
        "kind": "traction_test",
        "rope": None,
        "value": word,
        "place": {"case": case},
    }


def test_another_case_of_a_test_has_not_looked_again_at_the_one_that_failed(
    north, read
):
    mark_competent(north)
    read(tried("empty car up", "slipped"), tried("125 % static", "slipped"))
    [stop] = stops(north)
    why = {"why": "held when tried again"}

    read(tried("loaded car down", "held"), NO_SLIP, at="2026-05-05T10:00:00+01:00")
    other = ask(north, stop, "refute", why)
    read(tried("empty car up", "held"), at="2026-05-05T11:00:00+01:00")
    one = ask(north, stop, "refute", why)
    read(tried("125 % static", "held"), at="2026-05-05T12:00:00+01:00")
    each = ask(north, stop, "refute", why)

    assert callers.is_problem(other, 422, "look-again")
    assert callers.is_problem(one, 422, "look-again")
    assert each.status_code == 200, each.content


def test_work_is_read_as_left_in_the_case_that_failed(north, read, assess):
    mark_competent(north)
    read(tried("empty car up", "slipped"))
    [stop] = stops(north)
    work = Work.objects.create(
        contractor=north.contractor,
        machine=machine(north),
        kind="ROPING",
        done_on="2026-05-05",
        done_by="crew 4",
    ).pk
    left = {"kind": "AS_LEFT", "at": "2026-05-05T15:00:00+01:00"}

    read(tried("loaded car down", "held"), NO_SLIP, **left)
    assess()
    other = accept(north, stop, work)
    read(tried("empty car up", "held"), **left)
    assess()
    same = accept(north, stop, work)

    assert callers.is_problem(other, 422, "not-read-as-left")
    # What is judged comes next: no rope of the register is new.
    assert callers.is_problem(same, 409, "still-stops")
