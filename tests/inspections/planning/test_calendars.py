"""Calendars of planned work: the text by the RFC, the address kept secret.

The text is written and read back by icalendar; its lines are held against RFC 5545,
3.1, 3.3.11, 3.6 and 3.8.4.7 (confirmed).
"""

import base64
import hmac
import re
from dataclasses import replace
from datetime import UTC, date, datetime

import icalendar
import pytest
import time_machine
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from fleet.models import Contractor, Membership, Person, Token
from fleet.platform.access import tokens
from inspections.models import CalendarFeed
from inspections.planning import calendar_text
from inspections.planning.calendar_text import CalendarEvent
from tests import callers, estates, factories

EVENT = CalendarEvent(
    uid="0d3e6b0e-2f0e-5c0a-9a53-0d3a4f8f4a10",
    on=date(2026, 9, 1),
    summary="MH-1: re-rope; five ropes, 13 mm \\ 8x19",
    description="erste Zeile\nzweite Zeile: Łódź, über 75 Zeichen lang, " + "ß" * 60,
    location="Mill House",
    changed_at=datetime(2026, 5, 5, 8, 0, tzinfo=UTC),
    sequence=2,
    is_settled=True,
)


def written(*events):
    return calendar_text.write(name="Mill", events=events, refresh_hours=12)


def lines_of(content):
    assert content.endswith(b"\r\n")
    return content[:-2].split(b"\r\n")


# --- the text -------------------------------------------------------------------------
def test_a_calendar_is_read_back_as_it_was_meant():
    found = icalendar.Calendar.from_ical(written(EVENT))

    [event] = found.walk("VEVENT")
    assert str(found["VERSION"]) == "2.0"
    assert str(event["UID"]) == EVENT.uid
    assert str(event["SUMMARY"]) == EVENT.summary
    assert str(event["DESCRIPTION"]) == EVENT.description
    assert event["DTSTART"].dt == date(2026, 9, 1)
    assert event["DTEND"].dt == date(2026, 9, 2)
    assert event["DTSTAMP"].dt == EVENT.changed_at
    assert (int(event["SEQUENCE"]), str(event["STATUS"])) == (2, "CONFIRMED")


def test_lines_are_folded_at_75_octets_and_no_letter_is_parted():
    for line in lines_of(written(EVENT)):
        assert len(line) <= 75
        assert b"\n" not in line
        assert b"\r" not in line
        line.decode()


@given(st.text(max_size=300))
def test_any_text_is_folded_and_escaped_into_one_line(text):
    content = written(replace(EVENT, summary=text))

    assert all(len(line) <= 75 for line in lines_of(content))
    unfolded = lines_of(content.replace(b"\r\n ", b""))
    [line] = [line for line in unfolded if line.startswith(b"SUMMARY:")]
    value = line.removeprefix(b"SUMMARY:").decode()
    assert not re.search(r"(?<!\\)(?:\\\\)*[;,]", value)
    assert not re.search(r"[\x00-\x08\x0a-\x1f\x7f]", value)


@given(st.text(st.characters(exclude_categories=["Cc", "Cs"]), max_size=200))
def test_any_text_is_read_back_(text):
    found = icalendar.Calendar.from_ical(written(replace(EVENT, summary=text)))

    [event] = found.walk("VEVENT")
    assert str(event["SUMMARY"]) == text


def test_each_property_that_the_rfc_asks_for_stands_once():
    names = [line.split(b":")[0].split(b";")[0] for line in lines_of(written(EVENT))]

    for name in (b"PRODID", b"VERSION", b"UID", b"DTSTAMP", b"DTSTART", b"DTEND"):
        assert names.count(name) == 1, name


def test_an_empty_calendar_still_has_a_component():
    found = icalendar.Calendar.from_ical(written())

    assert [part.name for part in found.subcomponents] == ["VTIMEZONE"]


# --- the address ----------------------------------------------------------------------
@pytest.fixture
def filled(north):
    """A contractor with planned work on two owners' machines."""
    callers.confine(north)
    for code in ("MH-1", "QC-1"):
        machine = factories.machine(north.scope(), code)
        estates.decide(north, machine, named=code)
    return north


def issue(cast, role="OFFICE", **body):
    return callers.call(
        cast, "POST", "/api/v1/calendar-feeds", {"name": "office"} | body, role=role
    )


def path_of(answer):
    assert answer.status_code == 201, answer.content
    return answer.json()["address"].removeprefix("http://testserver")


def read(path, **headers):
    return callers.call(None, "GET", path, **headers)


def basic(user_name, password):
    text = base64.b64encode(f"{user_name}:{password}".encode()).decode()
    return {"Authorization": f"Basic {text}"}


@pytest.mark.django_db
@pytest.mark.parametrize("secret_addresses", [True, False])
def test_a_calendar_opens_by_a_password_that_is_in_no_address(
    filled, settings, secret_addresses
):
    settings.SECRET_ADDRESSES = secret_addresses
    made = issue(filled).json()
    name, password = made["user_name"], made["password"]
    path = made["address_with_password"].removeprefix("http://testserver")
    assert path == f"/api/v1/calendars/{name}.ics"
    assert (password in made["address"]) is secret_addresses

    opened = read(path, **basic(name, password))
    assert opened.status_code == 200
    assert b"MH-1" in opened.content

    absent = f"/api/v1/calendars/c{filled.contractor.pk}-0123456789ab.ics"
    for where, headers in (
        (path, {}),
        (path, basic(name, "")),
        (path, basic(name, password + "x")),
        (path, basic("someone", password)),
        (path, {"Authorization": f"Bearer {password}"}),
        (path, {"Authorization": "Basic ?"}),
        (absent, basic(name, password)),
        (absent, {}),
    ):
        refused = read(where, **headers)
        assert callers.is_problem(refused, 401, "not-authenticated"), headers
        assert refused["WWW-Authenticate"].startswith("Basic ")
    by_address = read(f"/api/v1/calendars/{name}-{password}.ics")
    assert by_address.status_code == (200 if secret_addresses else 401)

    callers.call(filled, "POST", f"/api/v1/calendar-feeds/{made['id']}/revoke")
    assert read(path, **basic(name, password)).status_code == 401


@pytest.mark.django_db
def test_the_offices_calendar_has_all_planned_work(filled):
    answer = read(path_of(issue(filled)))

    assert answer.status_code == 200, answer.content
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    events = icalendar.Calendar.from_ical(answer.content).walk("VEVENT")
    assert {str(event["SUMMARY"]).split(":")[0] for event in events} == {"MH-1", "QC-1"}
    assert all(event["DTSTART"].dt == date(2026, 10, 1) for event in events)
    assert "does not authorise operation" in str(events[0]["DESCRIPTION"])


@pytest.mark.django_db
def test_an_owners_calendar_has_the_own_buildings_only(filled):
    callers.confine(filled)
    owner = factories.machine(filled.scope(), "QC-1").building.owner

    answer = read(path_of(issue(filled, name="Quay", owner=owner.pk)))

    [event] = icalendar.Calendar.from_ical(answer.content).walk("VEVENT")
    assert str(event["SUMMARY"]).startswith("QC-1")


@pytest.mark.django_db
def test_the_same_work_keeps_its_uid_and_the_same_calendar_its_tag(filled):
    path = path_of(issue(filled))

    first, again = read(path), read(path)

    assert first.content == again.content
    assert first["ETag"] == again["ETag"]
    unchanged = read(path, If_None_Match=first["ETag"])
    assert (unchanged.status_code, unchanged.content) == (304, b"")
    ids = re.findall(rb"UID:(.*)\r\n", first.content)
    assert len(ids) == len(set(ids)) == 2
    assert "max-age=3600" in first["Cache-Control"]
    assert first["Last-Modified"]


@pytest.mark.django_db
def test_only_a_digest_of_the_secret_is_kept(filled):
    secret = path_of(issue(filled)).rpartition("-")[2].removesuffix(".ics")

    callers.confine(filled)
    row = CalendarFeed.objects.get(name="office")
    assert secret not in str(vars(row))
    listed = callers.call(filled, "GET", "/api/v1/calendar-feeds").content.decode()
    assert secret not in listed
    assert row.digest not in listed


@pytest.mark.django_db
def test_a_revoked_address_and_a_wrong_one_look_alike(filled):
    made = issue(filled)
    path = path_of(made)
    wrong = f"{path[:-6]}xx.ics"
    revoked = callers.call(
        filled, "POST", f"/api/v1/calendar-feeds/{made.json()['id']}/revoke"
    )

    answers = [read(path), read(wrong), read("/api/v1/calendars/nonsense.ics")]

    assert revoked.json()["revoked_at"] is not None
    assert {(a.status_code, a.content) for a in answers} == {(404, answers[0].content)}
    assert callers.is_problem(answers[0], 404, "not-found")


@pytest.mark.django_db
def test_the_secret_is_compared_in_constant_time_even_without_a_row(
    filled, monkeypatch
):
    path, compared, real = path_of(issue(filled)), [], hmac.compare_digest

    def spy(one, other):
        compared.append((one, other))
        return real(one, other)

    monkeypatch.setattr("inspections.planning.feeds.hmac.compare_digest", spy)
    prefix = path.split("-")[1]
    for address in (path, path.replace(prefix, "0" * 12)):
        compared.clear()
        read(address)
        assert len(compared) == 1, address


@pytest.mark.django_db
def test_an_address_opens_nothing_of_another_contractor(filled):
    south = factories.cast(code="south")
    path = path_of(issue(filled))
    own, other = filled.contractor.pk, south.contractor.pk

    answer = read(path.replace(f"/c{own}-", f"/c{other}-"))

    assert callers.is_problem(answer, 404, "not-found")


@pytest.mark.django_db
def test_a_retired_contractors_calendar_ends(filled):
    path = path_of(issue(filled))
    Contractor.objects.filter(pk=filled.contractor.pk).update(retired_on="2026-01-01")

    assert callers.is_problem(read(path), 404, "not-found")


@pytest.mark.django_db
@pytest.mark.parametrize("role", ["TECHNICIAN", "OWNER_READER"])
def test_only_the_office_makes_and_sees_addresses(filled, role):
    assert callers.is_problem(issue(filled, role), 403, "permission-denied")
    listed = callers.call(filled, "GET", "/api/v1/calendar-feeds", role=role)
    assert callers.is_problem(listed, 403, "permission-denied")


@pytest.mark.django_db
def test_an_owner_out_of_reach_gets_no_address(filled):
    assert callers.is_problem(issue(filled, owner=10**9), 404, "not-found")


@pytest.mark.django_db
def test_a_change_of_the_plan_changes_the_calendar(filled):
    path = path_of(issue(filled))
    before = read(path)
    [plan, _] = callers.call(filled, "GET", "/api/v1/planned-works").json()["results"]
    with time_machine.travel("2026-12-01T08:00:00+00:00", tick=True):
        changed = callers.call(
            filled,
            "PATCH",
            f"/api/v1/planned-works/{plan['id']}",
            {"state": "ORDERED", "due_before_on": "2026-12-24"},
            If_Match="*",
        )
    assert changed.status_code == 200, changed.content

    after = read(path)

    assert after["ETag"] != before["ETag"]
    events = icalendar.Calendar.from_ical(after.content).walk("VEVENT")
    [moved] = [e for e in events if e["DTSTART"].dt == date(2026, 12, 24)]
    assert (str(moved["STATUS"]), int(moved["SEQUENCE"])) == ("CONFIRMED", 1)


# --- ends with its person and its owner -----------------------------------------------
def people_act(cast, role, act):
    one = f"/api/v1/people/{cast.memberships[role].pk}/{act}"
    answer = callers.call(cast, "POST", one)
    assert answer.status_code == 200, answer.content


@pytest.fixture
def colleague(filled):
    """A second one of the office, with a calendar's address."""
    membership = filled.memberships["TECHNICIAN"]
    Membership.objects.filter(pk=membership.pk).update(role="OFFICE")
    Token.objects.filter(membership=membership).update(scopes=["READ", "WRITE"])
    path = path_of(issue(filled, role="TECHNICIAN"))
    assert read(path).status_code == 200
    return path


@pytest.mark.django_db
def test_a_calendar_ends_with_the_one_who_made_it_and_does_not_come_back(
    filled, colleague
):
    people_act(filled, "TECHNICIAN", "deactivate")

    assert callers.is_problem(read(colleague), 404, "not-found")
    people_act(filled, "TECHNICIAN", "reactivate")
    assert callers.is_problem(read(colleague), 404, "not-found")
    feeds = callers.call(filled, "GET", "/api/v1/calendar-feeds").json()["results"]
    assert [f["revoked_at"] is None for f in feeds if f["name"] == "office"] == [False]


@pytest.mark.django_db
def test_a_calendar_that_a_stolen_key_made_ends_with_the_key(north):
    made = callers.call(north, "POST", "/api/v1/calendar-feeds", {"name": "thief"})
    address = made.json()["address"]
    assert read(address).status_code == 200
    token = Token.objects.get(prefix=north.keys["OFFICE"].split("_")[1])

    tokens.revoke(token=token, at=timezone.now())

    assert callers.is_problem(read(address), 404, "not-found")


def _log_in_forbidden(membership):
    Person.objects.filter(pk=membership.person_id).update(is_active=False)


def _out_of_the_office(membership):
    Membership.objects.filter(pk=membership.pk).update(role="TECHNICIAN")


def _let_go_before(membership):
    Membership.objects.filter(pk=membership.pk).update(deactivated_at=timezone.now())


@pytest.mark.django_db
@pytest.mark.parametrize(
    "leave", [_log_in_forbidden, _out_of_the_office, _let_go_before]
)
def test_a_calendar_shows_nothing_once_its_maker_is_out_of_the_office(
    filled, colleague, leave
):
    leave(filled.memberships["TECHNICIAN"])

    assert callers.is_problem(read(colleague), 404, "not-found")


@pytest.mark.django_db
def test_a_calendar_ends_with_its_owner(filled):
    callers.confine(filled)
    owner = factories.machine(filled.scope(), "QC-1").building.owner
    path = path_of(issue(filled, owner=owner.pk))
    callers.confine(filled)
    owner.retired_on = date(2026, 1, 1)
    owner.save()

    assert callers.is_problem(read(path), 404, "not-found")
