"""What a role takes out is what the API shows it: tables, rows, fields and values."""

import json
from datetime import date, datetime
from decimal import Decimal

import pytest

from fleet.register.exchange import everything
from inspections.models import DueWork, Finding, OptionSet, PlannedWork, Terms
from reports.models import Report
from tests import callers, estates
from tests.fleet.register.exchange.test_everything import take, unpacked

pytestmark = pytest.mark.django_db

ROLES = ("OFFICE", "TECHNICIAN", "OWNER_READER")
OTHERS = ROLES[1:]
# What no list of the API shows goes out to the office alone.
NO_TWIN = {
    "reading-reviews",
    "uploads",
    "stop-events",
    "visit-moves",
    "handed-rows",
    "wear-limits",
    "wear-tracks",
    "track-points",
    "hyperparameters",
    "planning-rules",
}
LISTS = {
    "owners": "owners",
    "buildings": "buildings",
    "machines": "machines",
    "pulleys": "pulleys",
    "sheaves": "sheaves",
    "sheave-geometries": "sheave-geometries",
    "grooves": "grooves",
    "rope-sets": "rope-sets",
    "ropes": "ropes",
    "works": "works",
    "gauges": "gauges",
    "readings": "readings",
    "visits": "visits",
    "photos": "photos",
    "urgent-mails": "urgent-mails",
    "stops": "stops",
    "hand-overs": "hand-overs",
    "bulk-releases": "stop-releases",
    "assessments": "assessments",
    "findings": "findings",
    "forecasts": "forecasts",
    "forecast-runs": "forecast-runs",
    "forecast-scores": "forecast-scores",
    "planned-works": "planned-works",
    "owner-answers": "owner-answers",
    "scenarios": "scenarios",
    "due-works": "due-works",
    "calendar-feeds": "calendar-feeds",
    "report-plans": "report-plans",
    "reports": "reports",
    "deliveries": "deliveries",
    "refused-addresses": "refused-addresses",
    "people": "people",
    "tokens": "tokens",
    "export-files": "exports",
    "changes": "audit",
}
# Of several lists, or of another answer than a list: tested one by one.
BY_ITSELF = {"contractor", "option-sets", "planned-steps", "terms"}
# Noted by the server of every row; they tell nothing but that it is there.
NOTES = {"id", "version", "created_at"}
# Columns that stand for a row by its name instead of its id, and for places.
NAMES = {
    "owner": {"owner"},
    "building": {"building"},
    "machine": {"machine", "sheave", "rope_set"},
    "groove": {"groove"},
    "rope": {"rope"},
    "visit": {"visit"},
    "report": {"report"},
    "sheave_fitted_on": {"sheave"},
    "rope_set_fitted_on": {"rope_set"},
    "rope_set_sheave_fitted_on": {"rope_set"},
    "work_kind": {"work"},
    "work_done_on": {"work"},
    "membership_id": {"membership_id", "id", "person"},
}
# A file of readings says its visit in each row, a file of works and ropes what was
# worked out of their own lists.
OF_OTHER_LISTS = {
    "readings": {"visit_kind", "visited_at", "visit_note", "work_kind", "work_done_on"},
    "works": {"occurrence"},
    "ropes": {"groove", "second_groove", "machine", "sheave_fitted_on"},
    "sheave-geometries": {"machine"},
    "grooves": {"machine"},
}


@pytest.fixture
def world(world):
    found = world
    callers.confine(found.north)
    cost = {"currency": "EUR", "low": 1234.5, "mid": 1300, "high": 1400, "missing": []}
    option = {"kind": "RE_ROPE", "rank": 1, "cost": cost}
    OptionSet.objects.update(
        options=[option],
        facts={"assessment": 7, "offers": [{"cost_mid": 1234.5}]},
        terms={"RATES": 8},
    )
    PlannedWork.objects.update(planned=option, note="ask for EUR 1234.5")
    DueWork.objects.update(
        cost_low=Decimal("1234.50"), cost_high=Decimal("1400.00"), currency="EUR"
    )
    Report.objects.update(content={"cost": "1234.50"}, recipients=["x@secret.example"])
    Terms.objects.create(
        contractor=found.north.contractor,
        subject="RATES",
        currency="EUR",
        said={"rope_metre": "1234.50"},
        membership_id=found.north.memberships["OFFICE"].pk,
    )
    for machine in estates.Machine.objects.all():
        estates.assess(found.north, machine)
    return found


def listed(cast, path, role, **query):
    """Return every row of a list by id, or None where the list is refused."""
    rows, cursor = {}, ""
    while cursor is not None:
        answer = callers.call(
            cast, "GET", f"/api/v1/{path}?page_size=200{cursor}", role=role
        )
        if answer.status_code == 403:
            return None
        assert answer.status_code == 200, answer.content
        page = answer.json()
        rows |= {row["id"]: row for row in page["results"]}
        following = page["next"]
        cursor = following and "&" + following.partition("?")[2].replace(
            "page_size=200", ""
        )
    return rows


def exported(cast, name, role):
    """Return the rows of a table that goes out, or None where it is refused."""
    answer = callers.call(cast, "GET", f"/api/v1/exports/{name}.jsonl", role=role)
    cells = callers.call(cast, "GET", f"/api/v1/exports/{name}.csv", role=role)
    assert answer.status_code == cells.status_code
    if answer.status_code == 403:
        return None
    assert answer.status_code == 200, answer.content
    lines = b"".join(answer.streaming_content).decode().splitlines()
    found = [json.loads(line) for line in lines]
    header = b"".join(cells.streaming_content).decode().splitlines()[0].split(",")
    for row in found if name != "readings" else ():
        assert set(header) <= set(row)
    return found


def alike(mine, theirs):
    """Tell whether two values are one: moments may be written in two ways."""
    if isinstance(mine, str) and isinstance(theirs, str) and mine != theirs:
        try:
            return datetime.fromisoformat(mine) == datetime.fromisoformat(theirs)
        except ValueError:
            return False
    return mine == theirs


def test_every_table_that_goes_out_has_its_twin():
    assert set(everything.outgoing()) == NO_TWIN | set(LISTS) | BY_ITSELF


@pytest.mark.parametrize("role", OTHERS)
def test_each_table_goes_out_as_its_list_shows_it(world, role):
    for name, path in LISTS.items():
        shown = listed(world.north, path, role)

        out = exported(world.north, name, role)

        assert (shown is None) == (out is None), name
        if shown is not None:
            check_rows(name, out, shown)


def check_rows(name, out, shown):
    key = "membership_id" if name == "people" else "id"
    if name == "tokens":
        shown, key = {row["prefix"]: row for row in shown.values()}, "prefix"
    if name == "readings":
        # A visit without a reading has a row too.
        out = [row for row in out if "id" in row]
    assert {row[key] for row in out} == set(shown), name
    for row in out:
        check_fields(name, row, shown[row[key]])


def check_fields(name, mine, theirs):
    if name == "readings":
        typed = {"value": theirs["typed_value"], "unit": theirs["typed_unit"]}
        theirs = theirs | typed
    for column, value in mine.items():
        if column in NOTES or column in OF_OTHER_LISTS.get(name, ()):
            continue
        if column in theirs and column not in NAMES:
            assert alike(value, theirs[column]), (name, column, value)
            continue
        fields = NAMES.get(column, {column.removesuffix("_id")})
        assert fields & set(theirs), (name, column)


def test_what_no_list_shows_goes_out_to_the_office_alone(world):
    for name in NO_TWIN:
        assert exported(world.north, name, "OFFICE")
        for role in OTHERS:
            assert exported(world.north, name, role) is None


# Each table by itself is held to its list in every run, above.
@pytest.mark.parametrize(
    "role",
    [
        pytest.param(role, marks=() if role == "OWNER_READER" else pytest.mark.long)
        for role in OTHERS
    ],
)
def test_all_at_once_is_what_each_table_gives_singly(world, role):
    files = unpacked(take(world.north, "everything.jsonl.zip", role=role))

    for name in everything.outgoing():
        alone = exported(world.north, name, role)
        packed = files.get(f"{name}.jsonl")
        assert (alone is None) == (packed is None), name
        if packed is not None and name != "tokens":
            assert [json.loads(line) for line in packed.splitlines()] == alone


@pytest.mark.parametrize("form", ["everything.zip", "everything.jsonl.zip"])
def test_money_and_recipients_go_out_to_the_office_alone(world, form):
    for role in ROLES:
        files = unpacked(take(world.north, form, role=role))

        # The note of planned work names an amount; technicians read it.
        whole = b"".join(text for n, text in files.items() if "planned-works" not in n)

        for word in (b"1234.5", b"EUR", b"x@secret.example", b"rope_metre"):
            assert (word in whole) == (role == "OFFICE"), (role, word)


def test_an_owners_reader_does_not_read_the_note_of_planned_work(world):
    for role in ROLES:
        [row] = [
            row
            for row in exported(world.north, "planned-works", role)
            if row["machine"] == "MH-1"
        ]
        single = callers.call(
            world.north, "GET", f"/api/v1/planned-works/{row['id']}", role=role
        ).json()

        for each in (row, single):
            assert ("note" in each) == (role != "OWNER_READER")
            assert ("cost" in each["planned"]) == (role == "OFFICE")


def test_of_the_options_only_the_office_takes_out_what_they_cost(world):
    for role in ROLES:
        for row in exported(world.north, "option-sets", role):
            assert ("cost" in row["options"][0]) == (role == "OFFICE")
            if role != "OFFICE":
                assert row["facts"] == {"assessment": 7}
                assert not {"terms", "first_kind"} & set(row)


def test_the_office_still_takes_out_what_was_found_before(world):
    callers.confine(world.north)
    every = Finding.objects.filter(contractor=world.north.contractor).count()

    assert len(exported(world.north, "findings", "OFFICE")) == every
    assert len(exported(world.north, "findings", "TECHNICIAN")) < every


@pytest.mark.parametrize("role", OTHERS)
def test_the_contractors_terms_are_the_offices(world, role):
    for subject in ("rates", "lead-times", "thresholds"):
        answer = callers.call(world.north, "GET", f"/api/v1/{subject}", role=role)
        assert answer.status_code == 403
    assert exported(world.north, "terms", role) is None
    assert exported(world.north, "terms", "OFFICE")


@pytest.mark.parametrize("role", OTHERS)
def test_of_the_contractor_people_take_out_what_they_are_told(world, role):
    me = callers.call(world.north, "GET", "/api/v1/me", role=role).json()

    [row] = exported(world.north, "contractor", role)

    assert row.items() <= me["contractor"].items()


@pytest.mark.parametrize("role", OTHERS)
def test_the_steps_go_out_as_planned_work_shows_them(world, role):
    steps = exported(world.north, "planned-steps", role)

    for each in listed(world.north, "planned-works", role).values():
        one = f"/api/v1/planned-works/{each['id']}"
        shown = callers.call(world.north, "GET", one, role=role).json()["steps"]
        mine = [row for row in steps if row["planned_work_id"] == each["id"]]
        assert [row["words"] for row in mine] == [step["words"] for step in shown]
        for row in mine:
            assert set(row) - NOTES - {"planned_work_id"} <= set(shown[0])


def test_exact_amounts_stay_exact_in_json_lines(world):
    [row, *_] = exported(world.north, "due-works", "OFFICE")

    assert (row["cost_low"], row["cost_high"]) == ("1234.50", "1400.00")
    assert date.fromisoformat(row["due_before_on"])
