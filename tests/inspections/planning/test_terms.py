"""Rates, lead times and thresholds: said by the office alone, kept for ever."""

import pytest
from django.db import connection, transaction

from fleet.models import Job
from inspections import inputs, options
from inspections.models import Terms
from tests import callers

pytestmark = pytest.mark.django_db

RATES = {
    "currency": "EUR",
    "hourly": {"low": "70", "mid": "80.00", "high": "95"},
    "parts": {"ROPE_SET": {"low": "900", "mid": "1000", "high": "1300"}},
    "why": "rates of 2026",
}


def change(cast, name, body, *, tag="*", role="OFFICE"):
    return callers.call(cast, "PATCH", f"/api/v1/{name}", body, role=role, If_Match=tag)


def read(cast, name, **how):
    return callers.call(cast, "GET", f"/api/v1/{name}", **how)


def test_nothing_said_is_not_known(north):
    answer = read(north, "rates")

    assert answer.json() == {"said": {}, "currency": "", "change": None}
    callers.confine(north)
    found = inputs.standing_terms(scope=north.scope())
    assert found.rates.hourly is None
    assert found.rates.parts == {}
    assert found.lead_times.access_days is None


def test_what_is_said_counts_and_is_exact(north):
    answer = change(north, "rates", RATES)

    assert answer.status_code == 200, answer.content
    assert answer.json()["said"]["hourly"] == {
        "low": "70.00",
        "mid": "80.00",
        "high": "95.00",
    }
    callers.confine(north)
    found = inputs.standing_terms(scope=north.scope()).rates
    assert (found.currency, found.hourly.mid) == ("EUR", 80.0)
    assert found.parts["ROPE_SET"].high == 1300.0


def test_a_change_keeps_what_it_does_not_name_and_null_forgets(north):
    change(north, "rates", RATES)

    answer = change(north, "rates", {"hourly": None, "why": "not known any more"})

    assert set(answer.json()["said"]) == {"parts"}
    assert answer.json()["currency"] == "EUR"


def test_every_state_is_kept_with_who_and_why(north):
    change(north, "lead-times", {"access_days": 10, "why": "first"})
    change(north, "lead-times", {"access_days": 14, "why": "the porter is away"})

    rows = read(north, "lead-times/history").json()

    assert [row["said"] for row in rows] == [{"access_days": 14}, {"access_days": 10}]
    assert [row["why"] for row in rows] == ["the porter is away", "first"]
    assert rows[0]["replaces"] == rows[1]["id"]
    assert {row["membership_id"] for row in rows} == {north.memberships["OFFICE"].pk}


def test_a_change_names_the_state_it_changes(north):
    first = read(north, "rates")["ETag"]
    without = callers.call(north, "PATCH", "/api/v1/rates", RATES)
    taken = change(north, "rates", RATES, tag=first)
    late = change(north, "rates", RATES, tag=first)

    assert callers.is_problem(without, 428, "if-match-required")
    assert taken.status_code == 200
    assert callers.is_problem(late, 412, "changed-meanwhile")


def test_two_changes_of_one_state_leave_one(north):
    callers.confine(north)
    rows = {"contractor": north.contractor, "subject": "THRESHOLDS"}
    Terms.objects.create(**rows, membership_id=1)

    with pytest.raises(Exception, match="terms_replaced_once"), transaction.atomic():
        Terms.objects.create(**rows, membership_id=2)


def test_a_state_cannot_be_edited(north):
    change(north, "lead-times", {"access_days": 10, "why": "first"})
    callers.confine(north)

    for statement in ("UPDATE inspections_terms SET why = ''", "DELETE FROM {}"):
        with (
            pytest.raises(Exception, match=r"permission denied|append-only"),
            transaction.atomic(),
            connection.cursor() as cursor,
        ):
            cursor.execute(statement.format("inspections_terms"))


def test_a_changed_threshold_is_shown_as_changed(north):
    body = {"values": {"near_years": 3}, "why": "we plan further ahead"}

    rows = change(north, "thresholds", body).json()["thresholds"]

    changed = [(row["name"], row["value"]) for row in rows if row["is_changed"]]
    assert changed == [("near_years", 3.0)]
    back = change(north, "thresholds", {"values": {"near_years": None}, "why": "back"})
    assert not any(row["is_changed"] for row in back.json()["thresholds"])


@pytest.mark.parametrize(
    ("name", "body", "pointer"),
    [
        (
            "thresholds",
            {"values": {"diameter_ratio_least": 30}},
            "/diameter_ratio_least",
        ),
        ("thresholds", {"values": {"no_such_rule": 1}}, "/no_such_rule"),
        ("rates", {"hoisting": {"low": "1", "mid": "2", "high": "3"}}, "/currency"),
    ],
)
def test_what_cannot_be_is_refused_with_its_limit(north, name, body, pointer):
    answer = change(north, name, body | {"why": "try"})

    assert callers.is_problem(answer, 422, "out-of-range")
    assert answer.json()["errors"][0]["pointer"] == pointer
    callers.confine(north)
    assert not Terms.objects.exists()


@pytest.mark.parametrize(
    "body",
    [
        {"currency": "XXX"},
        {"currency": "EUR", "hourly": {"low": 70, "mid": 80, "high": 95}},
        {"currency": "EUR", "hourly": {"low": "1.234", "mid": "2", "high": "3"}},
        {"currency": "EUR", "hourly": {"low": "9", "mid": "2", "high": "3"}},
        {"currency": "EUR", "parts": {"BELT": RATES["hourly"]}},
        {"currency": "EUR", "hours": {"WATCH": RATES["hourly"]}},
        {"currency": "EUR", "dayly": RATES["hourly"]},
        {"currency": "EUR", "why": None},
    ],
)
def test_what_is_no_amount_is_refused(north, body):
    answer = change(north, "rates", {"why": "try"} | body)

    assert callers.is_problem(answer, 400, "invalid")


def test_a_change_has_every_option_worked_out_anew(north):
    change(north, "lead-times", {"access_days": 10, "why": "first"})

    assert Job.objects.filter(kind=options.OF_CHUNK).count() == 1


@pytest.mark.parametrize("role", ["TECHNICIAN", "OWNER_READER"])
@pytest.mark.parametrize("name", ["rates", "lead-times", "thresholds", "rates/history"])
def test_terms_are_the_offices_business(north, role, name):
    answer = read(north, name, role=role)

    assert callers.is_problem(answer, 403, "permission-denied")


def test_one_contractor_never_sees_anothers_terms(north):
    from tests import factories

    south = factories.cast(code="south")
    change(south, "rates", RATES)

    assert read(north, "rates").json()["change"] is None
    assert read(north, "rates/history").json() == []
