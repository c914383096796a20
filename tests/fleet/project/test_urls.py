"""Lists and their rows x every role x own, foreign or no object, in two walks.

Every row says what a read answers; the walk adds the contractors' and owners' borders,
and the second walk takes the application's own ring away and shows that PostgreSQL's
leaks nothing (OWASP API Security 2023, API1 and API5; ASVS 5.0, 8.4.1). Every door
there is stands in `tests/access`.
"""

import json
from dataclasses import dataclass

import pytest
from django.test import Client

from fleet.models import (
    Building,
    Change,
    Groove,
    ImportFile,
    Job,
    Machine,
    Membership,
    Owner,
    Pulley,
    Rope,
    RopeInGroove,
    RopeSet,
    Sheave,
    SheaveGeometry,
    Token,
    Work,
)
from inspections.models import (
    Assessment,
    BulkRelease,
    DueWork,
    Finding,
    Forecast,
    ForecastRun,
    ForecastScore,
    Gauge,
    PlannedWork,
    Reading,
    Stop,
    UrgentMail,
    Visit,
    VisitPhoto,
)
from reports.models import Delivery, RefusedAddress, Report, ReportPlan
from tests import callers
from tests.access.doors import doors

pytestmark = pytest.mark.django_db

ROLES = ("OFFICE", "TECHNICIAN", "OWNER_READER")


@dataclass(frozen=True, slots=True, kw_only=True)
class Route:
    """One kind of address: what it is made of, who changes it, who sees it."""

    model: type | None = None
    writable: bool = False
    readers: bool = True
    # Refused to everyone else, whatever is in it.
    office_only: bool = False
    own_answer: int = 200


REGISTER = {
    "owners": Owner,
    "buildings": Building,
    "machines": Machine,
    "pulleys": Pulley,
    "sheaves": Sheave,
    "sheave-geometries": SheaveGeometry,
    "grooves": Groove,
    "rope-sets": RopeSet,
    "ropes": Rope,
    "rope-seats": RopeInGroove,
}
READ_ONLY = {
    "works": Work,
    "visits": Visit,
    "readings": Reading,
    "photos": VisitPhoto,
    "assessments": Assessment,
    "findings": Finding,
    "forecasts": Forecast,
    "stops": Stop,
}
LISTS = {
    f"api/v1/{name}": Route(model=m, writable=True) for name, m in REGISTER.items()
}
LISTS |= {f"api/v1/{name}": Route(model=m) for name, m in READ_ONLY.items()}
# An owner's reader has no business with the contractor's tools.
LISTS["api/v1/gauges"] = Route(model=Gauge, writable=True, readers=False)
LISTS["api/v1/urgent-mails"] = Route(model=UrgentMail, readers=False)
LISTS["api/v1/forecast-runs"] = Route(model=ForecastRun, readers=False)
LISTS["api/v1/forecast-scores"] = Route(model=ForecastScore, readers=False)
LISTS["api/v1/reports"] = Route(model=Report, writable=True)
LISTS["api/v1/planned-works"] = Route(model=PlannedWork, writable=True)
LISTS["api/v1/report-plans"] = Route(model=ReportPlan, writable=True, readers=False)
LISTS["api/v1/deliveries"] = Route(model=Delivery, readers=False)
LISTS["api/v1/refused-addresses"] = Route(model=RefusedAddress, readers=False)
# Each person sees the own entry and the own tokens, the office everyone's.
LISTS["api/v1/people"] = Route(model=Membership, writable=True)
LISTS["api/v1/tokens"] = Route(model=Token, writable=True)
LISTS["api/v1/stop-releases"] = Route(
    model=BulkRelease, writable=True, office_only=True
)
LISTS["api/v1/imports"] = Route(model=ImportFile, office_only=True)
LISTS["api/v1/audit"] = Route(model=Change, office_only=True)
DETAILS = {f"{path}/<pk>": route for path, route in LISTS.items()}
DETAILS["api/v1/tokens/<pk>"] = Route(model=Token)
DETAILS["api/v1/stop-releases/<pk>"] = Route(model=BulkRelease, office_only=True)
# One forecast of each machine; the twins' machines have one each.
LISTS["api/v1/first-limits"] = Route(model=Forecast)
LISTS["api/v1/due-works"] = Route(model=DueWork)
DETAILS |= {
    "api/v1/machines/<pk>/condition": Route(model=Machine),
    "api/v1/machines/<pk>/forecast": Route(model=Machine),
    "api/v1/machines/<pk>/options": Route(model=Machine),
    "api/v1/machines/<pk>/page": Route(model=Machine),
    "api/v1/machines/<pk>/worklist": Route(model=Machine),
    "api/v1/forecasts/<pk>/curve": Route(model=Forecast),
    # Its file is missing, which is said only of one's own.
    "api/v1/photos/<pk>/file": Route(model=VisitPhoto, own_answer=404),
    "api/v1/reports/<pk>": Route(model=Report),
    # Their file and content are missing, which is said only of one's own.
    "api/v1/reports/<pk>/file": Route(model=Report, own_answer=404),
    "api/v1/reports/<pk>/figures": Route(model=Report, own_answer=404),
    "api/v1/jobs/<pk>": Route(model=Job, readers=False),
}
# Anyone may ask; nothing of a contractor is in the answer.
OPEN = {
    *("", "health/live", "health/ready", "log-in"),
    *("api/v1/schema", "api/v1/cautions"),
}


def test_every_row_of_the_table_is_a_route():
    assert (set(LISTS) | set(DETAILS) | OPEN) - {path for _, path in doors()} == set()


# --- what each role sees --------------------------------------------------------------
# The access matrix tries the same lists for each role in every run.
@pytest.mark.long
@pytest.mark.parametrize("role", ROLES)
def test_a_list_shows_own_rows_only(world, role):
    for path, route in LISTS.items():
        for cast in (world.north, world.south):
            answer = callers.call(cast, "GET", f"/{path}?page_size=200", role=role)

            if route.office_only and role != "OFFICE":
                assert callers.is_problem(answer, 403, "permission-denied"), path
                continue
            assert answer.status_code == 200, (path, answer.content)
            seen = {row["id"] for row in answer.json()["results"]}
            sees_any = route.readers or role != "OWNER_READER"
            assert bool(seen) == sees_any, f"{path}: an empty list proves nothing"
            if sees_any:
                assert seen == world.visible(route.model, cast, role), path


@pytest.mark.long
@pytest.mark.parametrize("role", ROLES)
def test_an_object_out_of_reach_is_as_absent_as_one_that_is_not_there(world, role):
    # Fault 34: the same status and the same body.
    for path, route in DETAILS.items():
        if route.office_only and role != "OFFICE":
            answer = read(world.north, path, 1, role)
            assert callers.is_problem(answer, 403, "permission-denied"), path
            continue
        sees_any = route.readers or role != "OWNER_READER"
        own = world.visible(route.model, world.north, role) if sees_any else set()
        foreign = world.visible(route.model, world.south, "OFFICE")
        beyond = world.visible(route.model, world.north, "OFFICE") - own
        missing = read(world.north, path, 10**9, role)

        assert callers.is_problem(missing, 404, "not-found")
        for pk in own:
            answer = read(world.north, path, pk, role)
            assert answer.status_code == route.own_answer, path
            assert answer.content != missing.content, path
        for pk in foreign | beyond:
            answer = read(world.north, path, pk, role)
            assert (answer.status_code, answer.content) == (404, missing.content), path


def read(cast, path, pk, role):
    return callers.call(cast, "GET", f"/{path.replace('<pk>', str(pk))}", role=role)


def test_nobody_reads_without_a_token(db):
    for path in [*LISTS, *DETAILS]:
        answer = callers.call(None, "GET", f"/{path.replace('<pk>', '1')}")

        assert callers.is_problem(answer, 401, "not-authenticated"), path


@pytest.mark.parametrize("path", sorted(OPEN - {""}))
def test_what_is_open_answers_strangers(path):
    assert callers.call(None, "GET", f"/{path}").status_code == 200


def test_the_front_door_leads_a_stranger_to_the_log_in():
    assert callers.call(None, "GET", "/")["Location"] == "/log-in"


@pytest.mark.parametrize(
    ("role", "first"), [("OFFICE", "/today"), ("OWNER_READER", "/estate")]
)
def test_the_front_door_leads_each_role_to_its_first_page(world, role, first):
    browser = Client()
    browser.force_login(world.north.memberships[role].person)

    assert browser.get("/")["Location"] == first


# --- who changes what -----------------------------------------------------------------
@pytest.mark.long
@pytest.mark.parametrize("method", ["POST", "PUT", "PATCH", "DELETE"])
def test_only_the_office_changes_only_the_register(world, method):
    for path, route in {**LISTS, **DETAILS}.items():
        pk = min(world.visible(route.model, world.north, "OFFICE"))
        address = f"/{path.replace('<pk>', str(pk))}"
        taken = route.writable and method == ("PATCH" if "<pk>" in path else "POST")

        for role in ROLES:
            answer = callers.call(
                world.north, method, address, {"nonsense": 1}, role=role
            )

            if role != "OFFICE":
                assert answer.status_code in (403, 405), (path, role)
            elif taken:
                assert answer.status_code in (400, 428), (path, answer.content)
            else:
                assert callers.is_problem(answer, 405, "method-not-allowed"), path


def test_a_foreign_object_cannot_be_changed(world):
    for path, route in DETAILS.items():
        if not route.writable:
            continue
        pk = min(world.visible(route.model, world.south, "OFFICE"))

        answer = change(world.north, path, pk)

        assert callers.is_problem(answer, 404, "not-found"), path


def change(cast, path, pk):
    address = f"/{path.replace('<pk>', str(pk))}"
    return callers.call(cast, "PATCH", address, {}, If_Match="*")


# --- the second ring alone ------------------------------------------------------------
# Read before the contractor is known, or by the sweeper: their filter is the only ring.
OUTSIDE_THE_RING = (Job, Membership, Token)


def test_without_the_applications_scope_a_list_still_leaks_nothing(world):
    for path, route in LISTS.items():
        if route.model in OUTSIDE_THE_RING:
            continue
        own = world.visible(route.model, world.north, "OFFICE")
        with callers.without_scope():
            answer = callers.call(world.north, "GET", f"/{path}?page_size=200")

        assert {row["id"] for row in answer.json()["results"]} == own, path


def test_without_the_applications_scope_a_foreign_object_is_still_absent(world):
    for path, route in DETAILS.items():
        if route.model in OUTSIDE_THE_RING:
            continue
        pk = min(world.visible(route.model, world.south, "OFFICE"))
        with callers.without_scope():
            answer, changed = (
                read(world.north, path, pk, "OFFICE"),
                change(world.north, path, pk),
            )

        assert callers.is_problem(answer, 404, "not-found"), path
        assert changed.status_code in (404, 405), path


def test_a_cursor_of_one_contractor_is_no_use_to_another(world):
    # Fault 27.
    for path in LISTS:
        mine = callers.call(world.north, "GET", f"/{path}?page_size=1").json()["next"]

        answer = callers.call(
            world.south, "GET", mine.removeprefix("http://testserver")
        )

        assert callers.is_problem(answer, 400, "parse-error"), path


def test_no_answer_holds_a_word_of_the_other_contractor(world):
    callers.confine(world.south)
    Owner.objects.update(name="CANARY-SOUTH", email="canary@south.example")
    Machine.objects.update(name="CANARY-SOUTH")

    for path in LISTS:
        answer = callers.call(world.north, "GET", f"/{path}?page_size=200")
        assert "canary" not in json.dumps(answer.json()).lower()
