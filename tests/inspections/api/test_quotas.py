"""Quotas: new machines, photos and files are refused beyond them, readings never.

Fault 74.
"""

import io
from datetime import timedelta

import pytest
import time_machine
from django.core.management import CommandError, call_command
from django.utils import timezone

from fleet.models import Contractor, ExportFile, Machine
from inspections import metrics
from inspections.models import Reading, Visit, VisitPhoto
from tests import callers, factories
from tests.inspections.api.test_photos import media, picture, send  # noqa: F401

pytestmark = pytest.mark.django_db

MACHINES = "/api/v1/machines"
USUAL = {"value": "12.8", "unit": "mm"}


def allow(cast, **limits):
    out = io.StringIO()
    call_command("set_quotas", cast.contractor.code, stdout=out, **limits)
    return out.getvalue()


def in_service(cast):
    callers.confine(cast)
    return Machine.objects.filter(retired_on=None).order_by("pk")


def new_machine(cast, code="MH-9"):
    [first, *_] = in_service(cast)
    shown = callers.call(cast, "GET", f"{MACHINES}/{first.pk}").json()
    given = {
        name: shown[name]
        for name in ("building", "drive_kind", "roping_ratio", "wrap", "wrap_angle_deg")
    }
    given |= {"car_mass_kg": 900, "rated_load_kg": 630, "balance_ratio": 0.5}
    body = given | {"code": code, "name": "one more"}
    return callers.call(cast, "POST", MACHINES, body)


def retire(cast, machine, day):
    path = f"{MACHINES}/{machine.pk}"
    return callers.call(cast, "PATCH", path, {"retired_on": day}, If_Match="*")


def test_one_machine_more_than_there_may_be_is_refused_and_said_how_many(north):
    count = in_service(north).count()
    allow(north, machines=count)

    answer = new_machine(north)

    assert callers.is_problem(answer, 409, "quota-reached")
    assert (
        f"may have {count} machines in service, has {count}" in answer.json()["detail"]
    )
    assert in_service(north).count() == count
    allow(north, machines="none")
    assert new_machine(north).status_code == 201


def test_a_retired_machine_makes_room_and_comes_back_only_where_there_is_room(north):
    [machine, *_] = in_service(north)
    allow(north, machines=in_service(north).count())
    assert retire(north, machine, "2026-01-01").status_code == 200
    assert new_machine(north).status_code == 201

    back = retire(north, machine, None)

    assert callers.is_problem(back, 409, "quota-reached")
    assert not in_service(north).filter(pk=machine.pk).exists()


def test_a_file_of_the_register_brings_machines_whole_or_not_at_all(north):
    allow(north, machines=in_service(north).count() + 1)
    out = callers.call(north, "GET", "/api/v1/imports/machines/template")
    shown = callers.call(north, "GET", "/api/v1/exports/machines.csv")
    assert (out.status_code, shown.status_code) == (200, 200)
    lines = b"".join(shown.streaming_content).decode("utf-8-sig").splitlines()
    header, first = lines[0], lines[1]
    more = [first.replace("MH-1", f"MH-{number}", 1) for number in (7, 8)]
    content = "\n".join([header, *more]).encode()

    path = "/api/v1/imports/machines?dry_run=false"
    refused = callers.call(north, "POST", path, raw=content, content_type="text/csv")
    one = "\n".join([header, more[0], first]).encode()
    taken = callers.call(north, "POST", path, raw=one, content_type="text/csv")

    assert callers.is_problem(refused, 409, "quota-reached")
    assert taken.status_code == 200, taken.content
    assert in_service(north).filter(code="MH-7").exists()
    assert not in_service(north).filter(code="MH-8").exists()


def test_what_is_there_is_read_and_changed_however_low_the_quota(north):
    [machine, *_] = in_service(north)
    allow(north, machines=0, photo_bytes=0, exports_a_day=0)

    answer = callers.upload(north, factories.upload(USUAL))
    renamed = callers.call(
        north,
        "PATCH",
        f"{MACHINES}/{machine.pk}",
        {"name": "another name"},
        If_Match="*",
    )

    assert answer.json()["counts"] == {"stored": 1}
    callers.confine(north)
    assert Reading.objects.count() == 1
    assert renamed.status_code == 200


def test_photos_end_at_their_bytes_and_the_same_photo_again_is_no_more(north):
    callers.upload(north, factories.upload())
    callers.confine(north)
    visit = Visit.objects.get().pk
    assert send(north, visit, picture()).status_code == 201
    callers.confine(north)
    allow(north, photo_bytes=VisitPhoto.objects.get().size_bytes)

    again = send(north, visit, picture())
    another = send(north, visit, picture(size=(50, 30)))

    assert again.status_code == 200
    assert callers.is_problem(another, 409, "quota-reached")
    callers.confine(north)
    assert VisitPhoto.objects.count() == 1


def test_files_taken_out_end_at_so_many_a_day(north):
    allow(north, exports_a_day=1)
    ask = ("POST", "/api/v1/exports")

    first = callers.call(north, *ask, {"name": "machines.csv"})
    second = callers.call(north, *ask, {"name": "ropes.csv"})
    with time_machine.travel(timezone.now() + timedelta(days=1, minutes=1)):
        later = callers.call(north, *ask, {"name": "ropes.csv"})

    assert first.status_code == 202
    assert callers.is_problem(second, 409, "quota-reached")
    assert later.status_code == 202
    assert ExportFile.objects.filter(contractor=north.contractor).count() == 2


def test_one_contractors_quota_is_none_of_anothers(north, south):
    allow(north, machines=0)

    assert new_machine(south).status_code == 201


def test_metrics_and_the_office_see_what_is_set(north, south):
    allow(north, machines=2 * in_service(north).count())
    shown = callers.call(north, "GET", "/api/v1/contractor").json()
    [family] = [
        each for each in metrics.families(now=timezone.now()) if "quota" in each.name
    ]

    assert shown["most_machines"] == 2 * in_service(north).count()
    assert [(s.labels["quota"], s.value) for s in family.samples] == [("machines", 0.5)]


def test_the_command_shows_what_is_set_and_refuses_what_is_no_number(north):
    assert "machines in service: at most 3" in allow(north, machines=3)
    assert "machines in service: at most 3" in allow(north, exports_a_day=2)
    for odd in ("-1", "1_0", "many", "9" * 30):
        with pytest.raises(CommandError):
            call_command("set_quotas", "north", "--machines", odd)
    assert Contractor.objects.get(code="north").most_machines == 3
