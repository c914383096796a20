"""docs/operations.md, typed as it stands: install, work, back up, lose all, restore.

On a server that asks for passwords, with real web, worker and beat processes. One
story in one installation: the tests below go on from each other, in this order.
"""

import json
import os
import re
import shutil
import subprocess
import sys
import urllib.request
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import quote

import psycopg
import pytest
from prometheus_client.parser import text_string_to_metric_families as parsed

from fleet.embedded import account, binaries, places
from tests import factories, picture
from tests.fleet.embedded.conftest import reachable_folder
from tests.fleet.installation import ROOT, Installation, wait_until

pytestmark = [pytest.mark.processes, pytest.mark.long]

PAGE = (ROOT / "docs" / "operations.md").read_text(encoding="utf-8")
# A password that shows whether signs are passed on unharmed.
PASSWORD = "p@s:s/w#o%r'd"
ROLES = ("ropeseat_owner", "ropeseat_app", "ropeseat_queue")
PASSWORDS_ONLY = (
    "local all ropeseat_admin peer map=ropeseat\nlocal all all scram-sha-256"
)


def blocks(section: str, language: str = "sh") -> list[str]:
    """Return what stands to be typed under a heading of the page."""
    words = re.search(rf"^## {section}\n(.*?)(?=^## )", PAGE, re.M | re.S).group(1)
    found = re.findall(rf"^( *)```{language}\n(.*?)^ *```", words, re.M | re.S)
    return [re.sub(rf"^{before}", "", block, flags=re.M) for before, block in found]


@dataclass(slots=True, kw_only=True)
class Typed(Installation):
    """An installation that knows nothing but what the page says."""

    variables: dict[str, str] = field(default_factory=dict)

    @property
    def environment(self) -> dict[str, str]:
        """What a process of the service gets, without the owner's address."""
        given = {k: v for k, v in self.variables.items() if k != "DATABASE_OWNER_URL"}
        return given | {
            "PATH": os.environ["PATH"],
            "HTTPS": "no",
            "HEARTBEAT_FILE": str(self.folder / "alive"),
        }

    def prepare(self) -> None:
        """Run a server with nothing on it, and lay out the folder to type in."""
        self.database.start()
        self.forget_database()
        where = places.places_of(self.database.directory)
        (where.config / "pg_hba.conf").write_text(f"{PASSWORDS_ONLY}\n")
        self._administer("SELECT pg_reload_conf()")
        self.variables = self._variables(quote(str(where.socket), safe=""))
        (self.folder / "ropeseat.env").write_text(
            "".join(f'{name}="{value}"\n' for name, value in self.variables.items())
        )
        self._lay_out()

    def _variables(self, host: str) -> dict[str, str]:
        password = quote(PASSWORD, safe="")
        owner, app, queue = (f"{r}:{password}@{host}:5432/ropeseat" for r in ROLES)
        return {
            "SECRET_KEY": "for this test only, " * 4,
            "ALLOWED_HOSTS": "127.0.0.1",
            "DATABASE_URL": f"postgresql://{app}",
            "DATABASE_OWNER_URL": f"postgresql://{owner}",
            "CELERY_BROKER_URL": f"pgmq://{queue}",
            "MEDIA_ROOT": str(self.folder / "media"),
            "METRICS_TOKEN": "the watcher's",
        }

    def _lay_out(self) -> None:
        programs = self.folder / ".venv" / "bin"
        programs.mkdir(parents=True)
        python = programs / "python"
        python.write_text(f'#!/bin/sh\nexec "{sys.executable}" "$@"\n')
        python.chmod(0o755)
        (self.folder / "manage.py").symlink_to(ROOT / "manage.py")
        portfolio = json.dumps(factories.portfolio())
        (self.folder / "portfolio.json").write_text(portfolio)

    def forget_database(self) -> None:
        """Leave a server on which nobody has ever installed anything."""
        self._administer("DROP DATABASE ropeseat WITH (FORCE)")
        for role in ROLES:
            self._administer(f"DROP ROLE {role}")

    def _administer(self, statement: str) -> None:
        url = self.database.url(role="admin", database="postgres")
        with psycopg.connect(url, autocommit=True) as administrator:
            administrator.execute(statement)

    def type(self, section: str, **variables: str) -> str:
        """Type everything under a heading into one shell; return what it printed."""
        where = places.places_of(self.database.directory)
        programs = binaries.find(wanted=None, runner=account.current()).folder
        ended = subprocess.run(
            ["bash", "-euo", "pipefail", "-c", "\n".join(blocks(section))],
            cwd=self.folder,
            env={
                "PATH": f"{programs}:{os.environ['PATH']}",
                "HTTPS": "no",
                "PGHOST": str(where.socket),
                "PGUSER": "ropeseat_admin",
                **variables,
            },
            capture_output=True,
            text=True,
            check=False,
        )
        assert ended.returncode == 0, f"{section}\n{ended.stdout}\n{ended.stderr}"
        return ended.stdout

    def picture(self) -> dict[str, Any]:
        """Return everything that must come back, by its name."""
        return picture.taken(query=self.query, media=Path(self.variables["MEDIA_ROOT"]))

    def metrics(self) -> dict[str, dict[tuple[str, ...], float]]:
        """Return what a watcher reads, as {name: {label values: number}}."""
        token = self.variables["METRICS_TOKEN"]
        asked = urllib.request.Request(
            f"{self.address}/metrics", headers={"Authorization": f"Bearer {token}"}
        )
        with urllib.request.urlopen(asked, timeout=20) as answer:
            page = answer.read().decode()
        return {
            family.name: {tuple(o.labels.values()): o.value for o in family.samples}
            for family in parsed(page)
        }

    def is_quiet(self) -> bool:
        """Tell whether no job waits or runs."""
        pending = "SELECT count(*) FROM fleet_job WHERE state IN ('QUEUED', 'RUNNING')"
        return self.query(pending) == [(0,)]

    def ask_for_report(self) -> Any:
        """Ask for a condition report of the first building, as the office."""
        ((building,),) = self.query(
            "SELECT id FROM fleet_building WHERE code = 'mill-house'"
        )
        days = {"period_start": "2026-01-01", "period_end": "2026-07-01"}
        body = {"kind": "CONDITION_REPORT", "building": building} | days
        return self._ask("/api/v1/reports", role="OFFICE", body=body)


@pytest.fixture(scope="module")
def house():
    with reachable_folder() as folder:
        made = Typed(folder=folder)
        try:
            made.prepare()
            yield made
        finally:
            made.database.stop()


@pytest.fixture(scope="module")
def before():
    """What the backup must bring back; filled by the test that makes it."""
    return {}


def test_the_page_names_the_variables_that_are_set(house):
    (block,) = blocks("Install", "ini")

    assert re.findall(r"^([A-Z_]+)=", block, re.M) == list(house.variables)


def test_what_is_typed_to_install_makes_an_installation(house):
    told = house.type("Install", PERSON="north-tech", CONTRACTOR="north")

    assert "Registered North Lifts (north)" in told
    assert "Installed." in told
    house.keys["TECHNICIAN"] = re.search(r"^rseat_\S+$", told, re.M).group()
    assert told.endswith("database: well\nbroker: well\n")


def test_the_application_cannot_do_without_its_password(house):
    url = house.variables["DATABASE_URL"].replace(quote(PASSWORD, safe=""), "wrong")

    with pytest.raises(psycopg.OperationalError, match="password authentication"):
        psycopg.connect(url)


def test_it_works_and_says_so(house):
    give_key = (
        *(sys.executable, "manage.py", "issue_token", "north-office"),
        *("--contractor", "north", "--device", "desk", "--scopes", "READ", "WRITE"),
    )
    house.keys["OFFICE"] = house.run(*give_key).strip()
    with house.web(), house.worker():
        assert house.upload("first-1", "first-2").status == 207
        wait_until(house.is_quiet)
        assert house.ask_for_report().status == 202
        wait_until(house.is_quiet)
        told = house.run(sys.executable, "manage.py", "health")

        assert "heartbeat: well" in told
        assert house.metrics()["ropeseat_reports"] == {("PUBLISHED",): 1}

    # A sign of this beat, not of that worker.
    (house.folder / "alive").unlink()
    with house.beat():
        wait_until((house.folder / "alive").exists)


def test_a_backup_is_made_while_work_waits(house, before):
    # Without a worker: the jobs of this upload go into the dump as they wait.
    with house.web():
        assert house.upload("second-1").status == 207
    assert not house.is_quiet()
    before.update(house.picture())

    house.type("Back up", **house.variables)

    assert before["rows of reports_report"][0][1] == 1
    assert len(before["files"]) == 1
    assert (house.folder / "ropeseat.dump").stat().st_size > 10_000


def test_after_everything_was_lost_it_is_all_there_again(house, before):
    house.forget_database()
    shutil.rmtree(house.variables["MEDIA_ROOT"])

    # Fault 57: yesterday's backup.
    house.type("Restore")

    after = house.picture()
    assert set(after) == set(before)
    different = {name for name in before if after[name] != before[name]}
    # Mails of a restored service wait for a person (fault 70).
    assert different == {"rows of fleet_mailrelease"}
    held = house.query("SELECT database FROM fleet_mailrelease")
    assert held == [("",)]
    assert len(before["policies"]) > 20
    assert len(before["triggers"]) >= 2


def test_then_devices_send_again_and_what_waited_is_done(house):
    with house.web(), house.worker():
        again = house.upload("first-1", "first-2")
        house.call("fleet.tasks.sweep")
        wait_until(house.is_quiet)
        report = house.ask_for_report()
        wait_until(house.is_quiet)

    outcomes = [reading["outcome"] for reading in again.body["readings"]]
    assert outcomes == ["already-stored", "already-stored"]
    assert house.query("SELECT count(*) FROM inspections_reading") == [(3,)]
    assert house.query("SELECT DISTINCT state FROM fleet_job") == [("DONE",)]
    assert report.status == 202
    assert house.query("SELECT count(DISTINCT revision) FROM reports_report") == [(2,)]


def test_what_is_typed_to_upgrade_or_to_tidy_changes_nothing_here(house):
    count = "SELECT count(*) FROM fleet_job"
    jobs = house.query(count)

    told = house.type("Upgrade", **house.variables)
    tidied = house.type("Housekeeping", **house.variables)

    assert "No planned migration operations." in told
    assert "It was installed already." in told
    assert "jobs: 0" in tidied
    assert house.query(count) == jobs
