"""Names that no document can print are refused at each door, with the letter."""

import re

import pytest

from fleet.models import Building, Machine, Membership, Owner
from tests import browsers, callers

pytestmark = pytest.mark.django_db

UNPRINTABLE = ["Mill 🏠", "大廈", "भवन", "בניין", "tower\u202e4", "tower \U000e0041"]
PRINTABLE = ["Łódź Żabka", "Κτίριο Ανεμώνη", "Дом 4", "Thang máy tầng hầm"]


def count(cast, model):
    callers.confine(cast)
    return model.objects.filter(contractor=cast.contractor).count()


def send(cast, text, name):
    path = f"/api/v1/imports/{name}?dry_run=false"
    raw = text.encode()
    return callers.call(cast, "POST", path, raw=raw, content_type="text/csv")


def codes_at(answer):
    found = answer.json()["errors"]
    return {(e["pointer"].rpartition("/")[2], e["code"]) for e in found}


# Fault 63.
@pytest.mark.parametrize("name", UNPRINTABLE)
def test_the_api_refuses_a_name_and_says_which_letter(north, name):
    before = count(north, Owner)

    answer = callers.call(
        north, "POST", "/api/v1/owners", {"name": name, "code": "new-owner"}
    )

    assert callers.is_problem(answer, 400, "invalid")
    assert codes_at(answer) == {("name", "unprintable")}
    letter = next(c for c in name if ord(c) > 0x500)
    assert f"U+{ord(letter):04X}" in answer.content.decode()
    assert count(north, Owner) == before


@pytest.mark.parametrize("name", PRINTABLE)
def test_names_of_many_languages_are_taken(north, name):
    answer = callers.call(
        north, "POST", "/api/v1/owners", {"name": name, "code": "new-owner"}
    )

    assert (answer.status_code, answer.json()["name"]) == (201, name)


@pytest.mark.parametrize(
    ("path", "field"),
    [("buildings", "name"), ("buildings", "address"), ("machines", "name")],
)
def test_a_change_to_such_a_name_is_refused_and_other_changes_are_not(
    north, path, field
):
    [row, *_] = callers.call(north, "GET", f"/api/v1/{path}").json()["results"]
    at = f"/api/v1/{path}/{row['id']}"

    refused = callers.call(north, "PATCH", at, {field: "大廈"}, If_Match="*")

    assert callers.is_problem(refused, 400, "invalid")
    assert codes_at(refused) == {(field, "unprintable")}
    model = {"buildings": Building, "machines": Machine}[path]
    callers.confine(north)
    # One that was stored by an earlier version can be mended, and the rest go on.
    model.objects.filter(pk=row["id"]).update(name="大廈")
    taken = callers.call(north, "PATCH", at, {field: "Mill House"}, If_Match="*")
    assert taken.status_code == 200, taken.content


def test_a_person_is_not_invited_or_renamed_under_such_a_name(north):
    before = Membership.objects.count()
    invited = callers.call(
        north,
        "POST",
        "/api/v1/people",
        {"email": "ada@lifts.example", "role": "TECHNICIAN", "last_name": "大"},
    )
    tom = north.memberships["TECHNICIAN"].pk
    renamed = callers.call(
        north, "PATCH", f"/api/v1/people/{tom}", {"first_name": "Tom 🏠"}, If_Match="*"
    )

    assert codes_at(invited) == {("last_name", "unprintable")}
    assert codes_at(renamed) == {("first_name", "unprintable")}
    assert Membership.objects.count() == before


def test_a_file_with_such_a_name_is_refused_whole_at_its_cell(north):
    text = "building,code,name,drive_kind\nmill-house,N-1,Lift 1,GEARED\n"

    answer = send(north, text + "mill-house,N-2,大廈,GEARED\n", "machines")

    assert callers.is_problem(answer, 422, "rows-refused")
    [error] = answer.json()["errors"]
    assert (error["row"], error["column"], error["code"]) == (3, "name", "unprintable")
    callers.confine(north)
    assert not Machine.objects.filter(code__startswith="N-").exists()
    assert send(north, text, "machines").status_code == 200


def test_a_page_says_it_at_the_field_and_keeps_what_was_typed(north):
    browser = browsers.confirmed(north.memberships["OFFICE"].person)
    page = browser.get("/owners/new").content.decode()
    hidden = dict(
        re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', page)
    )
    before = count(north, Owner)

    answer = browser.post(
        "/owners/new",
        hidden
        | {"name": "大廈", "code": "new-owner", "language": "en"}
        | {"unit_family": "METRIC", "paper": "A4"},
    )

    said = answer.content.decode()
    assert answer.status_code == 400
    assert "U+5927" in said
    assert 'value="大廈"' in said
    assert count(north, Owner) == before
