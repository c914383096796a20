"""The server side of the proof: killed, restored from a backup, brought up anew."""

import contextlib
import json
import os
import shutil
import signal
import subprocess
import sys
import threading
import time
import urllib.request
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

import psycopg
from psycopg import sql

from tests.fleet import installation
from tests.services import programs

_BACKUP = "backup_of_yesterday"
_REGISTER = """
import django, json, sys
django.setup()
from django.db import transaction
from django.utils import timezone
from fleet.models import Membership, Person
from fleet.platform.access import pairing
from inspections.models import Gauge
from tests import callers, factories

phones, machines = int(sys.argv[1]), int(sys.argv[2])
entry = factories.portfolio(code="field")
codes = [f"F-{n}" for n in range(1, machines + 1)]
entry["buildings"][0]["machines"] = [
    factories.undercut_machine() | {"code": code} for code in codes]
with transaction.atomic():
    cast = factories.cast(code="field", entry=entry)
    callers.confine(cast)
    member = cast.memberships["TECHNICIAN"]
    Gauge.objects.create(contractor=member.contractor, code="c-1", name="calliper",
        resolution_mm=0.01)
    made = []
    for n in range(phones):
        person = Person.objects.create(username=f"phone{n}", first_name="Phone",
            last_name=str(n), email=f"phone{n}@lifts.example")
        own = Membership.objects.create(contractor=member.contractor, person=person,
            role=member.role)
        made.append(pairing.show_code(membership=own, made_by=member.pk,
            with_factor=True, at=timezone.now()).code)
print(json.dumps({"codes": made, "machines": codes}))
"""
_ROWS = """
SELECT m.code, r.kind, r.place, COALESCE(g.number, p.number), r.typed_value, r.reference
FROM inspections_reading r
JOIN fleet_machine m ON m.id = r.machine_id
LEFT JOIN fleet_groove g ON g.id = r.groove_id
LEFT JOIN fleet_rope p ON p.id = r.rope_id
"""


@dataclass(slots=True, kw_only=True)
class Server(installation.Installation):
    """An installation whose web server dies and comes back at one address."""

    port: int = 0
    # Another version of the page, "" for the one of this tree.
    page: str = ""
    kills: int = 0
    web_process: "subprocess.Popen[bytes] | None" = field(default=None)

    @property
    def environment(self) -> dict[str, str]:
        usual = installation.Installation.environment.fget(self)  # type: ignore[attr-defined]
        return usual | {"REQUESTS_PER_MINUTE": "0", "FIELD_FOLDER": self.page}

    def register(self, *, phones: int, machines: int) -> dict[str, list[str]]:
        """Register machines and people; return codes by which phones are paired."""
        said = self.run(sys.executable, "-c", _REGISTER, str(phones), str(machines))
        return dict(json.loads(said))

    def up(self) -> None:
        """Start the web server and wait until it answers."""
        if self.web_process is not None:
            return
        self.port = self.port or programs.free_port()
        self.address = f"http://127.0.0.1:{self.port}"
        with self.log("web").open("ab") as opened:
            self.web_process = subprocess.Popen(
                [
                    *(sys.executable, "-m", "gunicorn"),
                    "tests.benchmarks.field.served:application",
                    *("--workers", "2", "--bind", f"127.0.0.1:{self.port}"),
                    "--no-control-socket",
                ],
                cwd=self.code,
                env=self.environment,
                stdout=opened,
                stderr=opened,
                start_new_session=True,
            )
        end = time.monotonic() + installation.WAIT_S
        while not self._answers():
            if time.monotonic() > end:
                raise TimeoutError(self.log("web").read_text()[-2000:])
            time.sleep(0.05)

    def down(self, *, counted: bool = True) -> None:
        """Kill the web server with all its workers, whatever they are at."""
        if self.web_process is None:
            return
        os.killpg(self.web_process.pid, signal.SIGKILL)
        self.web_process.wait()
        self.web_process = None
        self.kills += counted

    @contextlib.contextmanager
    def dying(self, *, after_s: float):
        """Kill the server so long after the block began, and bring it up again."""
        timer = threading.Timer(after_s, self.down)
        timer.start()
        try:
            yield
        finally:
            timer.join()
            self.up()

    def _answers(self) -> bool:
        with contextlib.suppress(OSError):
            found = urllib.request.urlopen(f"{self.address}/health/ready", timeout=5)
            with found:
                return bool(found.status == 200)
        return False

    def back_up(self) -> None:
        """Keep the database as it stands."""
        self.down(counted=False)
        self._copy(self._name, _BACKUP)
        self.up()

    def restore(self) -> None:
        """Bring the database of the backup back: what came after it is gone."""
        self.down()
        self._copy(_BACKUP, self._name)
        self.up()

    @property
    def _name(self) -> str:
        return urlsplit(self.database.url(role="admin")).path.lstrip("/")

    def _copy(self, old: str, new: str) -> None:
        parts = urlsplit(self.database.url(role="admin"))
        with psycopg.connect(
            parts._replace(path="/postgres").geturl(), autocommit=True
        ) as admin:
            admin.execute(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
                " WHERE datname IN (%s, %s)",
                [old, new],
            )
            name, source = sql.Identifier(new), sql.Identifier(old)
            admin.execute(sql.SQL("DROP DATABASE IF EXISTS {}").format(name))
            admin.execute(
                sql.SQL("CREATE DATABASE {} TEMPLATE {}").format(name, source)
            )

    def rows(self) -> list[tuple[object, ...]]:
        """Return what is stored: machine, kind, place, number, value, reference."""
        return self.query(_ROWS)


def newer_page(folder: Path) -> str:
    """Return a folder with a later version of the page: its store has one step more."""
    made = folder / "newer-page"
    shutil.copytree(installation.ROOT / "inspections/static/field", made)
    store = made / "store.js"
    text = store.read_text(encoding="utf-8")
    assert text.count("\n];\n") == 1
    step = """
  async (_database, change) => {
    const rows = change.objectStore("readings");
    for (const each of await rows.getAll()) await rows.put({ ...each, later: 1 });
  },
];
"""
    store.write_text(text.replace("\n];\n", step), encoding="utf-8")
    return str(made)
