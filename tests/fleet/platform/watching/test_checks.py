"""A database role that row-level security does not bind is found out."""

import os
import subprocess
import sys

import pytest
from django.conf import settings
from django.core.management import call_command
from django.core.management.base import SystemCheckError
from django.db import OperationalError, connections, transaction
from django.test import Client

from fleet.platform.database import time_limits
from fleet.platform.watching import checks
from tests import callers
from tests.fleet.installation import ROOT


@pytest.mark.django_db
def test_the_applications_own_role_may_do_nothing_it_must_not():
    assert checks.powers() == []
    assert Client().get("/health/ready").json() == {"ready": True}


@pytest.fixture
def as_owner(monkeypatch):
    """Let the web act as the owner of the tables, as a wrong DATABASE_URL would."""
    owner = connections["owner"]
    monkeypatch.setattr(
        "fleet.platform.watching.checks.connections", {"default": owner}
    )


@pytest.mark.django_db(databases=["default", "owner"])
def test_an_owner_of_tables_is_refused_by_check_and_by_readiness(as_owner):
    assert checks.powers() == ["owns tables, or may act as their owner"]
    with pytest.raises(SystemCheckError, match=r"fleet\.E001"):
        call_command("check", databases=["default"])
    answer = Client().get("/health/ready")
    assert (answer.status_code, answer.json()["ready"]) == (503, False)


def test_without_a_database_nothing_is_asked():
    assert checks.application_role(databases=None) == []
    assert checks.application_role(databases=["owner"]) == []


# --- a statement that takes too long --------------------------------------------------
@pytest.mark.django_db
def test_a_statement_that_takes_too_long_is_a_problem_and_not_a_wait(
    north, monkeypatch
):
    # Fault 32.
    def slow(self, request, *_, **__):
        with connections["default"].cursor() as cursor:
            cursor.execute("SET LOCAL statement_timeout = 20")
            cursor.execute("SELECT pg_sleep(5)")

    monkeypatch.setattr("fleet.register.api.views.OwnerViewSet.list", slow)

    with transaction.atomic():
        answer = callers.call(north, "GET", "/api/v1/owners")
        transaction.set_rollback(True)

    assert callers.is_problem(answer, 503, "took-too-long")


@pytest.fixture
def fresh_options(monkeypatch):
    found = {**settings.DATABASES["default"]["OPTIONS"]}
    found.pop("options", None)
    monkeypatch.setitem(connections.settings["default"], "OPTIONS", found)
    return found


def test_web_and_workers_limit_their_statements(fresh_options, settings):
    settings.WEB_STATEMENT_TIMEOUT_S, settings.WEB_IDLE_TIMEOUT_S = 7, 90
    time_limits.for_web()
    assert fresh_options["options"] == (
        "-c statement_timeout=7000 -c idle_in_transaction_session_timeout=90000"
    )

    fresh_options["options"] = "-c work_mem=8MB"
    settings.WORKER_STATEMENT_TIMEOUT_S = 60
    time_limits.for_worker()
    assert fresh_options["options"] == "-c work_mem=8MB -c statement_timeout=60000"


def test_no_limit_sends_no_parameter(fresh_options, settings):
    settings.WORKER_STATEMENT_TIMEOUT_S = 0

    time_limits.for_worker()

    assert "options" not in fresh_options


@pytest.mark.django_db(transaction=True)
def test_the_server_holds_to_the_limit(fresh_options, settings):
    # Fault 32: set on the connection itself, so no view can forget it.
    settings.WEB_STATEMENT_TIMEOUT_S = 1
    time_limits.for_web()
    connection = connections.create_connection("default")
    connection.settings_dict["OPTIONS"] = fresh_options
    try:
        with connection.cursor() as cursor:
            cursor.execute("SHOW statement_timeout")
            assert cursor.fetchone() == ("1s",)
            with pytest.raises(OperationalError, match="statement timeout"):
                cursor.execute("SELECT pg_sleep(3)")
    finally:
        connection.close()


# --- what Django itself looks at ------------------------------------------------------
PRODUCTION = {
    "DJANGO_SETTINGS_MODULE": "fleet.project.settings",
    "SECRET_KEY": "Zx8-" + "kT3_wq7Rb2Lm9Vn5" * 4,
    "ALLOWED_HOSTS": "lifts.example",
    "DATABASE_URL": "postgresql://ropeseat_app:x@127.0.0.1:1/ropeseat",
    "CELERY_BROKER_URL": "amqp://127.0.0.1:1//",
    "BEHIND_PROXY": "yes",
    "PUBLIC_URL": "https://lifts.example",
}


def test_the_settings_of_an_installation_pass_djangos_check_for_deployment():
    done = subprocess.run(
        [sys.executable, "manage.py", "check", "--deploy", "--fail-level", "WARNING"],
        cwd=ROOT,
        env={"PATH": os.environ["PATH"], **PRODUCTION},
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )

    assert done.returncode == 0, done.stderr[-2000:]
    assert "no issues" in done.stdout


# --- what is kept, and what need not be sent again ------------------------------------
@pytest.mark.django_db
class TestVersions:
    def read(self, cast, path, **headers):
        return callers.call(cast, "GET", f"/api/v1/{path}", **headers)

    def ids(self, cast):
        rows = self.read(cast, "owners").json()["results"]
        return [row["id"] for row in rows]

    def test_what_the_caller_has_already_is_not_sent_again(self, north):
        path = f"owners/{self.ids(north)[0]}"
        first = self.read(north, path)

        again = self.read(north, path, If_None_Match=first["ETag"])

        assert (again.status_code, again.content) == (304, b"")
        assert again["ETag"] == first["ETag"]

    def test_what_has_changed_is_sent(self, north):
        path = f"owners/{self.ids(north)[0]}"
        tag = self.read(north, path)["ETag"]
        callers.call(north, "PATCH", f"/api/v1/{path}", {"name": "Y"}, If_Match=tag)

        again = self.read(north, path, If_None_Match=tag)

        assert again.status_code == 200
        assert again.json()["name"] == "Y"

    def test_another_contractor_is_told_nothing_by_a_version(self, north, south):
        path = f"owners/{self.ids(north)[0]}"
        tag = self.read(north, path)["ETag"]

        assert self.read(south, path, If_None_Match=tag).status_code == 404

    def test_an_answer_is_kept_by_nobody_but_the_caller(self, north):
        versioned = self.read(north, f"owners/{self.ids(north)[0]}")
        listed = self.read(north, "owners")

        assert versioned["Cache-Control"] == "private, no-cache"
        assert listed["Cache-Control"] == "no-store"
        assert "Authorization" in versioned["Vary"]
