"""Names that no document can print are refused at each door, with the letter."""

import re

import pytest
from django.urls import reverse

from fleet.models import (
    Building,
    Contractor,
    Machine,
    Membership,
    Owner,
    Person,
    Work,
)
from fleet.platform import printing
from fleet.register import registry
from tests import browsers, callers, factories
from tests.inspections.completion import reports

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


def hidden_of(page):
    """Return what a page's form carries unseen."""
    fields = r'<input type="hidden" name="([^"]+)" value="([^"]*)"'
    return dict(re.findall(fields, page.content.decode()))


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


@pytest.mark.parametrize(
    ("address", "typed"),
    [
        (
            "/owners/new",
            {"name": "大廈", "code": "new-owner", "language": "en"}
            | {"unit_family": "METRIC", "paper": "A4"},
        ),
        (
            "/people/invite",
            {"email": "ada@lifts.example", "role": "TECHNICIAN", "last_name": "大廈"},
        ),
        (
            "/contractor",
            {"responsible_person": "大廈", "acknowledge_minutes": "30"}
            | {"report_link_days": "30"},
        ),
    ],
)
def test_a_page_says_it_at_the_field_and_keeps_what_was_typed(north, address, typed):
    browser = browsers.confirmed(north.memberships["OFFICE"].person)
    hidden = hidden_of(browser.get(address))
    before = count(north, Owner), count(north, Membership)

    answer = browser.post(address, hidden | typed)

    said = answer.content.decode()
    assert answer.status_code == 400
    assert "U+5927" in said
    assert 'value="大廈"' in said
    assert (count(north, Owner), count(north, Membership)) == before
    north.contractor.refresh_from_db()
    assert north.contractor.responsible_person == ""


@pytest.mark.parametrize(
    ("spoil", "pointer"),
    [
        (lambda p: p["contractor"].update(name="大廈"), "/contractor/name"),
        (lambda p: p["owners"][0].update(name="大廈"), "/owner/name"),
        (lambda p: p["people"][0].update(last_name="大廈"), "/people/last_name"),
    ],
)
def test_a_contractor_is_not_registered_with_such_a_name(db, spoil, pointer):
    portfolio = factories.portfolio(code="west")
    spoil(portfolio)

    with pytest.raises(printing.Unprintable) as refused:
        registry.register(portfolio=portfolio)

    assert refused.value.pointer == pointer
    assert not Contractor.objects.filter(code="west").exists()


@pytest.mark.parametrize(
    ("model", "fields"),
    [("contractor", {"name": "大廈"}), ("person", {"last_name": "大廈"})],
)
def test_the_servers_administrator_is_refused_such_a_name_at_its_field(
    north, settings, model, fields
):
    settings.SUPERUSER_SECOND_FACTOR = False
    browser = browsers.confirmed(Person.objects.create_superuser("root"))
    row = {"contractor": north.contractor, "person": north.memberships["OFFICE"].person}
    at = reverse(f"admin:fleet_{model}_change", args=(row[model].pk,))

    answer = browser.post(at, fields)

    errors = answer.context["adminform"].form.errors
    [field] = fields
    assert "U+5927" in str(errors[field])


def test_the_office_is_refused_such_a_name_at_admin_and_may_change_the_rest(north):
    browser = browsers.confirmed(north.memberships["OFFICE"].person)
    callers.confine(north)
    row = Owner.objects.first()
    at = reverse("admin:fleet_owner_change", args=(row.pk,))
    rest = {"code": row.code, "language": "en", "unit_family": "METRIC", "paper": "A4"}
    rest["read_version"] = row.version
    factories.forget_tenant()

    refused = browser.post(at, rest | {"name": "大廈"})
    callers.confine(north)
    Owner.objects.filter(pk=row.pk).update(name="大廈")
    factories.forget_tenant()
    taken = browser.post(at, rest | {"name": "大廈", "paper": "LETTER"})

    assert "U+5927" in str(refused.context["adminform"].form.errors["name"])
    assert taken.status_code == 302


def test_whoever_did_a_work_has_a_name_that_documents_print(north):
    report = reports.regrooving(done_by="crew 大")
    before = count(north, Work)

    answer = reports.send(north, report)

    assert callers.is_problem(answer, 422, "unprintable")
    assert answer.json()["errors"][0]["pointer"] == "/done_by"
    assert count(north, Work) == before
    assert "done_by" in printing.NAMES
    assert reports.send(north, reports.regrooving(done_by="crew 4")).status_code == 201
