"""The compose file's keeper, by hand: its command, its user, its group, its health."""

import os
import signal
import subprocess
import time
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest
import yaml

from fleet import embedded
from fleet.embedded import account, binaries, folders, places
from fleet.embedded.archive import RECIPIENTS
from tests.fleet.embedded.conftest import reachable_folder
from tests.fleet.installation import wait_until
from tests.services import programs

ROOT = Path(__file__).resolve().parents[2]
SAID = yaml.safe_load((ROOT / "docker-compose.yml").read_text())["services"]["keeper"]
# Group of the files, as the Dockerfile of web and workers makes it.
[GROUP] = map(int, SAID["group_add"])
FILES_OF_A_GROUP = 0o640
ENDS_WITHIN_S = 5

pytestmark = pytest.mark.processes


class Keeper:
    """A server that keeps its log, files of the service, and the program between."""

    def __init__(self, folder):
        self.folder, self.archive = folder, folder / "archive"
        self.media = folder / "media"
        self.server = embedded.Server(
            directory=folder / "database",
            durable=False,
            archive=embedded.Archive(folder=self.archive),
        )
        self.where = places.places_of(self.server.directory)
        self.runner = account.choose(wanted=None, data=self.where.data)

    def install(self):
        folders.make(self.archive, mode=0o700, owner=self.runner)
        run("age-keygen", "-o", self.folder / "identity.txt")
        public = run("age-keygen", "-y", self.folder / "identity.txt")
        (self.archive / RECIPIENTS).write_bytes(public)
        self.media.mkdir(mode=0o755)
        self.server.start()

    def file(self, name, content):
        """Lay a file as web and workers do: for its own group only."""
        path = self.media / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
        path.chmod(FILES_OF_A_GROUP)
        if os.geteuid() == 0:
            os.chown(path, 10001, GROUP)

    def here(self, text):
        for there, path in (
            ("/opt/recovery", self.where.config / "recovery"),
            ("/srv/archive", self.archive),
            ("/srv/media", self.media),
            ("/var/run/postgresql", self.where.socket),
        ):
            text = text.replace(there, str(path))
        return text

    @contextmanager
    def running(self, *, groups=(GROUP,)):
        """Run it as the file says, inside the block; then kill it with its children."""
        found = binaries.find(wanted=None, runner=self.runner)
        given = {k: self.here(v) for k, v in SAID["environment"].items()}
        path = f"{found.folder}:/usr/local/bin:/usr/bin:/bin"
        with (self.folder / "keeper.log").open("wb") as log:
            keeper = subprocess.Popen(
                [self.here(part) for part in SAID["command"]],
                env={"PATH": path, **given},
                cwd="/",
                stdout=log,
                stderr=log,
                start_new_session=True,
                **self.as_runner(groups),
            )
        try:
            yield keeper
        finally:
            with suppress(ProcessLookupError):
                os.killpg(keeper.pid, signal.SIGKILL)
            keeper.wait()

    def as_runner(self, groups=()):
        if os.geteuid() != 0:
            return {}
        return {
            "user": self.runner.uid,
            "group": self.runner.gid,
            "extra_groups": list(groups),
        }

    def looks_well(self):
        """Ask as the engine asks."""
        kind, command = SAID["healthcheck"]["test"]
        assert kind == "CMD-SHELL"
        asked = ["sh", "-c", self.here(command)]
        done = subprocess.run(asked, check=False, stderr=subprocess.DEVNULL)
        return done.returncode == 0

    def kept(self, name):
        """Open a kept file with the key that lies elsewhere."""
        identity = self.folder / "identity.txt"
        return run("age", "--decrypt", "--identity", identity, self.archive / name)

    def names(self, folder):
        return sorted(p.name for p in (self.archive / folder).rglob("*") if p.is_file())


def run(*command):
    return subprocess.run(command, check=True, capture_output=True).stdout


@pytest.fixture
def keeper():
    programs.program("age")
    with reachable_folder() as folder:
        made = Keeper(folder)
        try:
            made.install()
            yield made
        finally:
            made.server.stop()


# Fault 78.
def test_the_keeper_keeps_server_and_files_and_goes_on_after_a_kill(keeper):
    keeper.file("photos/one", b"a photo")
    assert not keeper.looks_well()

    with keeper.running():
        wait_until(keeper.looks_well)
    [base] = [n for n in keeper.names("base") if n.endswith(".tar.age")]
    parts = [keeper.archive / folder / ".part-9" for folder in ("base", "files")]
    for part in parts:
        part.write_bytes(b"what a kill left")
        os.chown(part, keeper.runner.uid, -1)
    keeper.file("reports/two.pdf", b"a report")
    (keeper.archive / "kept").unlink()
    with keeper.running() as again:
        wait_until(keeper.looks_well)
        again.send_signal(signal.SIGTERM)
        # In a container a small init passes it on: bash itself would not hear it there.
        began = time.monotonic()
        again.wait(timeout=ENDS_WITHIN_S)
        assert time.monotonic() - began < ENDS_WITHIN_S

    assert SAID["init"] is True
    assert keeper.kept("files/photos/one.age") == b"a photo"
    assert keeper.kept("files/reports/two.pdf.age") == b"a report"
    assert [n for n in keeper.names("base") if n.endswith(".tar.age")] == [base]
    assert not [part for part in parts if part.exists()]
    (keeper.folder / "base.tar.gz").write_bytes(keeper.kept(f"base/{base}"))
    inside = run("tar", "--list", "--file", keeper.folder / "base.tar.gz").decode()
    assert {"PG_VERSION", "backup_label"} <= set(inside.split())


def test_a_file_that_cannot_be_read_is_told_and_the_rest_is_kept(keeper):
    if os.geteuid() != 0:
        pytest.skip("only root can lay a file of another user")
    keeper.file("photos/hidden", b"of nobody's group")
    keeper.file("photos/open", b"of all")
    (keeper.media / "photos/open").chmod(0o644)

    with keeper.running(groups=()):
        wait_until(lambda: [n for n in keeper.names("base") if n.endswith(".tar.age")])

    assert not keeper.looks_well()
    assert b"photos/hidden" in (keeper.folder / "keeper.log").read_bytes()
    assert keeper.names("files") == ["open.age"]


def test_files_of_the_service_are_of_the_group_that_the_keeper_has():
    text = (ROOT / ".docker/Dockerfile").read_text()

    assert f"groupadd --gid {GROUP} ropeseat" in text
    assert "--gid ropeseat" in text
    assert SAID["user"] == "postgres"
