"""Who changed what: written by the database, whichever way the change came."""

import pytest
from django.apps import apps
from django.db import DatabaseError, connection, transaction
from django.test import Client

from fleet.models import Change, Job, Machine, Membership, Owner, Person, Token
from fleet.platform.database import change_log, tenancy
from fleet.platform.queue import jobs
from fleet.register.exchange import importing
from fleet.register.exchange.dialect import Dialect
from fleet.register.exchange.register import RESOURCES
from inspections.models import Upload
from tests import callers, estates, factories
from tests.fleet.plain_sql import rows

pytestmark = pytest.mark.django_db

# Tables whose rows are not written down one by one, and why not.
NOT_RECORDED = {
    "fleet_change": "it is the log",
    "fleet_job": "the server's own queue",
    "fleet_importfile": "what a file did is written down where it was done",
    "fleet_sentform": "what a form did is written down where it was done",
    "fleet_pairingcode": "good for minutes; the key it makes is written down",
    "fleet_phone": "what a phone last said; its key is written down",
    "fleet_tally": "counts of tries",
    "fleet_mailrelease": "the server's own; says itself who changed it",
    "fleet_tick": "the server's own clockwork",
    "inspections_handedrow": "its hand-over has a line; never edited",
    "inspections_visit": "its upload has a line; never edited",
    "inspections_reading": "its upload has a line; never edited",
    "inspections_urgentmail": "the server's own post",
    "inspections_plannedstep": "a history that names who itself",
    "inspections_stopevent": "a history that names who itself",
    "inspections_assessment": "worked out",
    "inspections_finding": "worked out",
    "inspections_wearlimit": "worked out",
    "inspections_weartrack": "worked out",
    "inspections_trackpoint": "worked out",
    "inspections_forecast": "worked out",
    "inspections_forecastrun": "worked out",
    "inspections_forecastscore": "worked out",
    "inspections_hyperparameters": "worked out",
    "inspections_sharedprior": "worked out",
    "inspections_optionset": "worked out",
    "inspections_machinestate": "worked out",
    "inspections_statemark": "worked out",
    "inspections_duework": "worked out",
}
# Rows that are only ever added, or whose later columns are the server's.
ADDED_ONLY = {
    "inspections_upload",
    "inspections_readingreview",
    "inspections_terms",
    "inspections_visitmove",
}
# A mail is not taken back; its link is ended, and tries at sending are left out.
NEVER_REMOVED = {"reports_delivery"}


def recorded():
    """Return which events of which tables are written down, by the database."""
    found = {}
    for table, name in rows(
        "SELECT tgrelid::regclass::text, tgname FROM pg_trigger "
        "WHERE tgfoid = 'record_change()'::regprocedure"
    ):
        found.setdefault(table, set()).add(name.removeprefix("record_").upper())
    return found


def test_every_model_is_written_down_or_has_a_reason():
    models = {
        model._meta.db_table
        for app in ("fleet", "inspections", "reports")
        for model in apps.get_app_config(app).get_models()
    }

    missing = models - set(recorded()) - set(NOT_RECORDED)

    assert missing == set(), "add change_log.Recorded in a migration, or say why not"
    assert set(NOT_RECORDED) & set(recorded()) == set()


def test_what_is_written_down_is_so_for_every_event():
    for table, events in recorded().items():
        wanted = {"INSERT"} if table in ADDED_ONLY else set(change_log.EVENTS)
        wanted -= {"DELETE"} if table in NEVER_REMOVED else set()
        assert events == wanted, table


def test_the_application_cannot_add_change_or_remove_a_line(north):
    callers.confine(north)
    line = Change.objects.first()
    assert line is not None

    for attempt in (
        lambda: Change.objects.filter(pk=line.pk).update(via="someone else"),
        lambda: Change.objects.filter(pk=line.pk).delete(),
        lambda: Change.objects.create(
            contractor=north.contractor,
            table="fleet_owner",
            row_id=1,
            act="CHANGED",
            fields={},
            transaction=1,
        ),
    ):
        with (
            pytest.raises(DatabaseError, match="permission denied"),
            transaction.atomic(),
        ):
            attempt()


# --- each way in ----------------------------------------------------------------------
def last(cast, table, **fields):
    callers.confine(cast)
    return Change.objects.filter(table=table, **fields).latest("pk")


def test_a_change_by_api_names_token_person_and_request(north):
    callers.confine(north)
    owner = Owner.objects.get(code="mill")

    callers.call(
        north, "PATCH", f"/api/v1/owners/{owner.pk}", {"name": "Old Mill"}, If_Match="*"
    )

    line = last(north, "fleet_owner", row_id=owner.pk)
    assert line.fields == {"name": ["Mill Estate", "Old Mill"]}
    assert line.act == "CHANGED"
    assert line.membership_id == north.memberships["OFFICE"].pk
    assert line.person_id == north.memberships["OFFICE"].person_id
    assert line.token_id == Token.objects.get(membership_id=line.membership_id).pk
    assert line.via == f"PATCH /api/v1/owners/{owner.pk}"


def test_a_change_in_the_admin_names_the_person(north):
    person = north.memberships["OFFICE"].person
    browser = Client()
    browser.force_login(person)
    fields = {
        "name": "From the form",
        "code": "formed",
        "language": "en",
        "unit_family": "METRIC",
        "paper": "A4",
    }
    factories.forget_tenant()

    assert browser.post("/admin/fleet/owner/add/", fields).status_code == 302

    line = last(north, "fleet_owner", act="CREATED")
    assert line.fields["name"] == [None, "From the form"]
    assert (line.person_id, line.token_id) == (person.pk, None)
    assert line.via == "POST /admin/fleet/owner/add/"


def test_an_upload_is_one_line_however_many_readings(north):
    before = count(north)
    readings = ({"value": "12.9", "unit": "mm", "rope": n} for n in range(1, 6))

    answer = callers.upload(north, factories.upload(*readings))

    assert answer.status_code == 207, answer.content
    assert count(north) == before + 1
    line = last(north, "inspections_upload")
    callers.confine(north)
    assert line.row_id == Upload.objects.get().pk
    assert line.membership_id == north.memberships["TECHNICIAN"].pk


def count(cast):
    callers.confine(cast)
    return Change.objects.count()


def test_an_import_is_a_line_for_each_row_it_changes_in_one_transaction(north):
    scope = north.scope()
    before = count(north)
    content = b"code,name\nmill,Mill Estate\nquay,Quay Houses\nnew-1,New\nnew-2,Newer\n"
    file = importing.File(resource=RESOURCES["owners"], content=content)

    outcomes = importing.bring_in(
        scope=scope, files=[file], dialect=Dialect(), dry_run=False
    )

    assert not outcomes[0].errors
    lines = Change.objects.order_by("-pk")[: count(north) - before]
    found = [(line.act, line.fields["name"][1]) for line in reversed(lines)]
    assert sorted(found) == [
        ("CHANGED", "Quay Houses"),
        ("CREATED", "New"),
        ("CREATED", "Newer"),
    ]
    assert len({line.transaction for line in lines}) == 1


def test_a_dry_run_leaves_no_line(north):
    before = count(north)
    file = importing.File(
        resource=RESOURCES["owners"], content=b"code,name\nnew-1,New\n"
    )

    importing.bring_in(
        scope=north.scope(), files=[file], dialect=Dialect(), dry_run=True
    )

    assert count(north) == before


def test_plain_sql_is_written_down_too(north):
    callers.confine(north)

    with connection.cursor() as cursor:
        cursor.execute("UPDATE fleet_machine SET name = name || '!'")

    callers.confine(north)
    names = Change.objects.filter(table="fleet_machine", act="CHANGED")
    assert names.count() == Machine.objects.count()


def test_a_job_is_named_as_what_changed_a_row(north):
    [job_id] = jobs.write(
        kind="tests.rename",
        contractor_id=north.contractor.pk,
        subject_ids=[1],
        due_at=factories.NOW,
    )

    def activity(job: Job) -> None:
        Owner.objects.filter(code="mill").update(name="By a job")

    jobs.perform(job_id=job_id, activity=activity, clock=lambda: factories.NOW)

    assert last(north, "fleet_owner").via == "tests.rename"


def test_a_change_that_changes_nothing_leaves_no_line(north):
    before = count(north)

    Owner.objects.filter(code="mill").update(name="Mill Estate")

    assert count(north) == before


# --- people, tokens and secrets -------------------------------------------------------
def test_people_and_tokens_leave_lines_without_secrets(north):
    membership = north.memberships["TECHNICIAN"]
    person = Person.objects.get(pk=membership.person_id)
    person.set_password("a password that is nowhere")
    person.first_name = "Ines"
    person.save()
    token = Token.objects.get(membership=membership)
    Token.objects.filter(pk=token.pk).update(revoked_at=factories.NOW)
    Membership.objects.filter(pk=membership.pk).update(deactivated_at=factories.NOW)

    changed = last(north, "fleet_person", row_id=person.pk)
    assert changed.fields["first_name"] == ["", "Ines"]
    assert changed.fields["password"] == ["hidden", "hidden"]
    assert "revoked_at" in last(north, "fleet_token", row_id=token.pk).fields
    assert "deactivated_at" in last(north, "fleet_membership").fields
    callers.confine(north)
    told = rows("SELECT string_agg(c::text, '') FROM fleet_change AS c")[0][0]
    assert token.digest not in told
    assert person.password not in told


def test_using_a_token_or_logging_in_is_no_change(north):
    before = count(north)

    callers.call(north, "GET", "/api/v1/owners")
    browser = Client()
    browser.force_login(north.memberships["OFFICE"].person)

    assert count(north) == before


def test_each_contractors_lines_are_its_own(north, south):
    callers.confine(south)
    Owner.objects.update(name="CANARY")
    callers.confine(north)

    assert (
        "CANARY" not in rows("SELECT string_agg(c::text, '') FROM fleet_change c")[0][0]
    )


def test_every_recorded_table_leaves_a_line_when_a_row_is_added():
    world = estates.world()
    callers.confine(world.north)

    found = set(Change.objects.values_list("table", flat=True).distinct())

    # An account is made before it belongs to a contractor; its membership is the line.
    # Nobody in the estates has set up a second factor: see test_second_factor.py.
    assert set(recorded()) - found == {"fleet_person", "fleet_secondfactor"}


def test_the_actors_setting_ends_with_the_transaction(north):
    with connection.cursor() as cursor:
        cursor.execute("SELECT set_config(%s, '', true)", [tenancy.ACTOR])
    callers.confine(north)

    Owner.objects.filter(code="mill").update(name="By nobody named")

    line = last(north, "fleet_owner")
    assert (line.membership_id, line.via) == (None, "")
