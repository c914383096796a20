"""The demo as it is typed, on one machine: real processes, killed at any moment."""

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from fleet.demo.defaults import PROJECT_ROOT
from tests.fleet.embedded.conftest import reachable_folder

pytestmark = pytest.mark.processes

MACHINE = "kladka-3"
BUILDING = "kladka"
UPLOADS = 2
WITHIN_S = 90
STOPPED_WITHIN_S = 40
DEMO = (sys.executable, "manage.py", "demo")


@pytest.fixture(scope="module")
def home():
    with reachable_folder() as folder:
        yield folder


@pytest.fixture(scope="module")
def fixtures(home):
    """One machine of the demo portfolio with its last two uploads."""
    source, target = PROJECT_ROOT / "fixtures" / "demo", home / "fixtures"
    target.mkdir()
    portfolio = json.loads((source / "portfolio.json").read_text())
    buildings = [b for b in portfolio["buildings"] if b["code"] == BUILDING]
    for building in buildings:
        building["machines"] = [
            machine for machine in building["machines"] if machine["code"] == MACHINE
        ]
    (target / "portfolio.json").write_text(
        json.dumps(portfolio | {"buildings": buildings})
    )
    uploads = json.loads((source / "uploads.json").read_text())
    visits = [
        visit
        for upload in uploads["uploads"]
        for visit in upload["visits"]
        if visit["machine"] == MACHINE
    ]
    kept = [{"visits": [visit]} for visit in visits[-UPLOADS:]]
    (target / "uploads.json").write_text(json.dumps(uploads | {"uploads": kept}))
    return target


@pytest.fixture(scope="module")
def environment(home):
    """What a newcomer's shell holds: nothing of ours but the folder."""
    return {
        "PATH": os.environ["PATH"],
        "HOME": str(home / "empty-home"),
        "DEMO_DIRECTORY": str(home / "state"),
    }


@pytest.fixture(scope="module")
def command(fixtures):
    return (*DEMO, "--fixtures", str(fixtures))


def once(command, environment, out):
    return subprocess.run(
        [*command, "--once", "--out", str(out)],
        cwd=PROJECT_ROOT,
        env=environment,
        capture_output=True,
        text=True,
        timeout=WITHIN_S,
        check=False,
    )


def begun(command, environment):
    # A shell that runs tests in the background has Ctrl-C ignored, and so would the
    # demo; it begins here as in a terminal.
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        return subprocess.Popen(
            command,
            cwd=PROJECT_ROOT,
            env=environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            start_new_session=True,
        )
    finally:
        signal.signal(signal.SIGINT, before)


def read_until(running, words):
    said = []
    for line in running.stdout:
        said.append(line)
        if words in line:
            return said
    raise AssertionError(f"the demo ended without {words!r}: {''.join(said)}")


def living(environment):
    """Return the command lines of all that still runs for the demo."""
    state, found = environment["DEMO_DIRECTORY"].encode(), []
    for process in Path("/proc").glob("[0-9]*"):
        try:
            command = (process / "cmdline").read_bytes()
            surroundings = (process / "environ").read_bytes()
        except OSError:
            continue
        if command and state in command + surroundings:
            found.append(command.replace(b"\0", b" ").decode())
    return found


def guard_of(environment):
    wanted = f"-m fleet.demo.guard {environment['DEMO_DIRECTORY']}"
    for process in Path("/proc").glob("[0-9]*"):
        command = (process / "cmdline").read_bytes().replace(b"\0", b" ").decode()
        if wanted in command:
            return int(process.name)
    raise AssertionError("there is no guard")


def nothing_lives(environment):
    deadline = time.monotonic() + STOPPED_WITHIN_S
    while living(environment) and time.monotonic() < deadline:
        time.sleep(0.2)
    return living(environment) == []


# The tests below, but for the last, are one story in one folder, in this order.


@pytest.mark.long
@pytest.mark.parametrize("moment", ["database started", "registered", "asked for"])
def test_demo_that_is_killed_leaves_nothing_running(moment, command, environment):
    with begun(command, environment) as running:
        read_until(running, moment)
        running.kill()

    assert nothing_lives(environment)


@pytest.mark.long
def test_next_run_goes_on_to_the_end_and_stops_everything(command, environment, home):
    went_on = once(command, environment, home / "out")

    said = went_on.stdout
    assert went_on.returncode == 0, said + went_on.stderr
    assert "registered from an earlier run" in said
    assert "the readings are there from an earlier run" in said
    assert f"{MACHINE}: " in said
    assert (home / "out" / f"{BUILDING}.pdf").read_bytes().startswith(b"%PDF-")
    assert living(environment) == []
    assert not Path(environment["HOME"]).exists()


@pytest.mark.long
def test_serves_until_ctrl_c_whatever_dies_meanwhile(command, environment):
    processes = Path(environment["DEMO_DIRECTORY"], "processes.json")
    with begun(command, environment) as running:
        read_until(running, "Stop with Ctrl-C")
        beside = once(command, environment, "unused")
        started = json.loads(processes.read_text())["groups"]
        os.killpg(min(map(int, started)), signal.SIGKILL)
        died = read_until(running, "started again")
        running.send_signal(signal.SIGINT)
        said = running.stdout.read()

    assert beside.returncode == 1
    assert f"running already (process {running.pid}, http://127" in beside.stderr
    assert "ended with code -9" in died[-1]
    assert "everything is stopped" in said
    assert running.returncode == 0
    assert living(environment) == []


@pytest.mark.long
def test_what_a_killed_guard_could_not_stop_is_stopped_by_the_next_run(
    command, environment
):
    with begun(command, environment) as running:
        read_until(running, "web server, worker and beat run")
        os.kill(guard_of(environment), signal.SIGKILL)
        running.kill()
    left = living(environment)

    next_run = once((*command, "--port", "70000"), environment, "unused")

    assert left
    assert "ended processes that an earlier run had left" in next_run.stdout
    assert "Port 70000 cannot be used" in next_run.stderr
    assert living(environment) == []


def test_refuses_a_real_database_in_the_environment(command, environment):
    real = environment | {"DATABASE_URL": "postgresql://office@db/ropeseat"}

    refused = once(command, real, "unused")

    assert refused.returncode == 1
    assert refused.stderr.startswith("DATABASE_URL is set, and the demo never touches")
