"""What done work took: entered by the office, shown to nobody else, and suggested."""

from datetime import date

import pytest
import time_machine

from fleet.models import Work
from inspections.models import PlannedWork
from tests import callers, factories
from tests.inspections.test_pages import browser, machine_of, text_of
from tests.inspections.test_work_pages import send

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def that_day():
    with time_machine.travel("2026-06-05T08:00:00+00:00", tick=True):
        yield


def done(cast, *, kind="RE_ROPE", on=date(2026, 5, 1), spent=None):
    callers.confine(cast)
    return PlannedWork.objects.create(
        contractor=cast.contractor,
        machine=machine_of(cast, "MH-1"),
        kind=kind,
        state="DONE",
        done_on=on,
        chosen_at="2026-04-01T08:00:00+00:00",
        spent=spent,
    )


def say(cast, row, role="OFFICE", **said):
    path = f"/api/v1/planned-works/{row.pk}/spent"
    return callers.call(cast, "POST", path, said, role=role)


def rates(cast):
    body = {"currency": "EUR", "why": "first"}
    answer = callers.call(
        cast, "PATCH", "/api/v1/rates", body | {"hoisting": None}, If_Match="*"
    )
    assert answer.status_code == 200, answer.content


def suggested(cast):
    answer = callers.call(cast, "GET", "/api/v1/rates/suggested")
    assert answer.status_code == 200, answer.content
    return answer.json()


def test_the_office_enters_it_and_a_step_says_so_without_figures(north):
    row = done(north)

    answer = say(north, row, hours="14.50", labour="1160.00", currency="EUR")

    assert answer.status_code == 200, answer.content
    assert answer.json()["spent"] == {
        "hours": "14.50",
        "labour": "1160.00",
        "currency": "EUR",
    }
    assert answer.json()["steps"][-1]["words"] == "what the work took was entered"
    assert say(north, row, hours="15.00").json()["spent"] == {"hours": "15.00"}


@pytest.mark.parametrize("role", ["TECHNICIAN", "OWNER_READER"])
def test_nobody_else_enters_or_sees_it(north, role):
    row = done(north, spent={"hours": "14.50"})

    path = f"/api/v1/planned-works/{row.pk}"
    shown = callers.call(north, "GET", path, role=role)
    page = browser(north, role).get(f"/works/{row.pk}")

    assert say(north, row, role=role, hours="1.00").status_code == 403
    assert "spent" not in shown.json()
    assert "14.5" not in text_of(page)
    assert "what it took" not in text_of(page).lower()


@pytest.mark.parametrize(
    ("kind", "said", "code", "pointer"),
    [
        ("RE_ROPE", {"labour": "10.00"}, "not-this-way", "/currency"),
        ("RE_ROPE", {"part": "10.00", "currency": "EUR"}, "not-this-way", "/part"),
        ("RE_ROPE", {"hours": "-1"}, "invalid", None),
        ("RE_ROPE", {"hours": 3}, "invalid", None),
        ("RE_ROPE", {"labour": "1.00", "currency": "XXQ"}, "invalid", None),
    ],
)
def test_what_cannot_be_meant_is_refused(north, kind, said, code, pointer):
    answer = say(north, done(north, kind=kind), **said)

    assert answer.status_code in (400, 422), answer.content
    if pointer:
        assert callers.is_problem(answer, 422, code)
        assert answer.json()["errors"][0]["pointer"] == pointer


def test_work_that_is_not_done_has_taken_nothing_yet(north):
    row = done(north)
    callers.confine(north)
    PlannedWork.objects.filter(pk=row.pk).update(state="PLANNED", done_on=None)

    assert callers.is_problem(say(north, row, hours="1.00"), 409, "planned-work-closed")


def test_three_works_suggest_rates_and_change_none(north):
    rates(north)
    for hours, labour in (("10", "800"), ("12", "1080"), ("20", "1500")):
        done(north, spent={"hours": hours, "labour": labour, "currency": "EUR"})
    # Dollars are no euros, and what was paid four years ago is no measure.
    done(north, spent={"hours": "16", "labour": "9", "currency": "USD"})
    done(north, on=date(2022, 5, 1), spent={"hours": "90"})

    found = suggested(north)

    said = {(r["name"], r["key"]): (r["band"], r["works"]) for r in found["rates"]}
    assert said == {
        ("hourly", ""): ({"low": 75.0, "mid": 80.0, "high": 90.0}, 3),
        ("hours", "RE_ROPE"): ({"low": 10.0, "mid": 14.0, "high": 20.0}, 4),
    }
    assert (found["works"], found["other_currency"]) == (4, 1)
    standing = callers.call(north, "GET", "/api/v1/rates").json()
    assert "hours" not in standing["said"]
    page = text_of(browser(north, "OFFICE").get("/terms"))
    assert "10.00 / 14.00 / 20.00" in page


def test_it_is_entered_on_a_page_in_the_readers_own_numbers(north):
    row = done(north)
    office = browser(north, "OFFICE")
    office.post("/prefer", {"language": "de", "next": "/"})
    page = f"/works/{row.pk}/spent"

    empty = office.get(page)
    sent = send(office, page, hours="14,5", rope="900", currency="eur")
    shown = text_of(office.get(f"/works/{row.pk}"))

    assert "Personenstunden" in text_of(empty)
    # Re-roping buys no sheave and no turning.
    assert "Werkstatt" not in text_of(empty)
    assert sent.status_code == 302, text_of(sent)
    callers.confine(north)
    row.refresh_from_db()
    assert row.spent == {"hours": "14.50", "rope": "900.00", "currency": "EUR"}
    assert "14,5" in shown
    assert "EUR 900,00" in shown


@pytest.fixture
def north():
    return factories.cast(code="north")


def reported(cast, kind="ROPING"):
    callers.confine(cast)
    return Work.objects.create(
        contractor=cast.contractor,
        machine=machine_of(cast, "MH-1"),
        kind=kind,
        done_on=date(2026, 5, 2),
    )


def keep(cast, work, kind="RE_ROPE", role="OFFICE"):
    path = f"/api/v1/works/{work.pk}/unplanned"
    return callers.call(cast, "POST", path, {"kind": kind}, role=role)


def test_what_work_took_that_nobody_planned_is_entered_once(north):
    work = reported(north)

    first, again = keep(north, work), keep(north, work)

    assert first.status_code == again.status_code == 201, first.content
    row = PlannedWork.objects.get(pk=first.json()["id"])
    assert again.json()["id"] == row.pk
    assert (row.state, row.done_on, row.works) == ("DONE", work.done_on, [work.pk])
    assert row.planned == {}
    answer = say(north, row, hours="9.00")
    assert answer.json()["spent"] == {"hours": "9.00"}


def test_it_has_to_be_a_kind_that_the_work_was_reported_as(north):
    work = reported(north)

    assert keep(north, work, kind="SHORTEN").status_code == 409
    assert keep(north, work, role="OWNER_READER").status_code == 403
    assert not PlannedWork.objects.filter(works__contains=[work.pk]).exists()


def test_three_works_without_a_plan_suggest_hours(north):
    rates(north)
    for hours in ("9.00", "12.00", "10.00"):
        row = PlannedWork.objects.get(pk=keep(north, reported(north)).json()["id"])
        say(north, row, hours=hours)

    [found] = [r for r in suggested(north)["rates"] if r["name"] == "hours"]

    assert (found["key"], found["works"]) == ("RE_ROPE", 3)


def test_the_page_offers_the_work_and_leads_to_its_form(north):
    page = browser(north, "OFFICE")
    work = reported(north)
    address = f"/machines/{work.machine_id}/unplanned"
    offered = f'"{work.pk}:RE_ROPE'
    before = page.get(address)
    assert "2 May 2026" in text_of(before)
    assert offered in before.content.decode()

    answer = send(page, address, work=f"{work.pk}:RE_ROPE")

    row = PlannedWork.objects.get(works__contains=[work.pk])
    assert answer.status_code == 302
    assert answer["Location"].endswith(f"/works/{row.pk}/spent")
    assert offered not in page.get(address).content.decode()
