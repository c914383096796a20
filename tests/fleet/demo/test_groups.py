"""Telling process groups apart, ending them, and what an earlier run left."""

import os
import shutil
import subprocess
import sys

import pytest

from fleet.demo import groups, leftovers
from fleet.demo.places import DemoPlaces, read_json, write_json
from fleet.demo.problems import DemoStopped

pytestmark = pytest.mark.processes

SLEEP = "import time; time.sleep(60)"
DEAF = (
    "import signal, time; signal.signal(signal.SIGTERM, signal.SIG_IGN); "
    "print(1, flush=True); time.sleep(60)"
)


@pytest.fixture
def sleeper():
    with start(SLEEP) as running:
        yield running
        running.kill()


@pytest.fixture
def places(tmp_path):
    return DemoPlaces(folder=tmp_path)


def start(program):
    return subprocess.Popen(
        [sys.executable, "-c", program],
        stdout=subprocess.PIPE,
        start_new_session=True,
    )


def test_group_is_alive_until_it_is_ended(sleeper):
    assert groups.is_alive(sleeper.pid)

    groups.end([sleeper.pid])

    # Not yet waited for: a zombie counts as gone.
    assert not groups.is_alive(sleeper.pid)


def test_group_that_does_not_listen_is_killed():
    with start(DEAF) as deaf:
        deaf.stdout.readline()

        groups.end([deaf.pid], grace_s=0.3)

        assert deaf.wait(timeout=5) == -9


def test_mark_tells_a_process_from_one_that_is_gone(sleeper):
    mark = groups.mark_of(sleeper.pid)

    assert mark
    assert groups.mark_of(sleeper.pid) == mark
    assert groups.mark_of(os.getpid()) != mark
    assert groups.mark_of(2**22 + 1) == ""


def test_processes_of_an_earlier_run_are_ended(places, sleeper):
    leftovers.note(places, started=[sleeper.pid], address="http://127.0.0.1:1")

    assert leftovers.clear(places) is True
    assert not groups.is_alive(sleeper.pid)
    assert not places.processes.exists()


def test_process_that_got_a_number_later_is_left_alone(places, sleeper):
    write_json(places.processes, {"groups": {str(sleeper.pid): "an earlier start"}})

    assert leftovers.clear(places) is False
    assert groups.is_alive(sleeper.pid)


def test_cut_off_note_of_an_earlier_run_is_no_obstacle(places):
    places.processes.write_text('{"groups": {"12')

    assert leftovers.clear(places) is False


def test_second_demo_is_told_where_the_first_one_is(places):
    lock = leftovers.take_lock(places)
    leftovers.note(places, started=[], address="http://127.0.0.1:8003")

    with pytest.raises(DemoStopped, match=rf"process {os.getpid()}, http://.*:8003"):
        leftovers.take_lock(places)
    os.close(lock)


def test_lock_of_a_killed_demo_is_free(places):
    program = (
        "import sys, time; from pathlib import Path; "
        "from fleet.demo import leftovers; from fleet.demo.places import Places; "
        "lock = leftovers.take_lock(Places(folder=Path(sys.argv[1]))); "
        "print(lock, flush=True); time.sleep(60)"
    )
    with subprocess.Popen(
        [sys.executable, "-c", program, str(places.folder)], stdout=subprocess.PIPE
    ) as holder:
        holder.stdout.readline()
        holder.kill()
        holder.wait()

        os.close(leftovers.take_lock(places))


def test_files_are_written_whole_and_closed(places):
    write_json(places.logins, {"people": {}})

    assert read_json(places.logins) == {"people": {}}
    assert places.logins.stat().st_mode & 0o077 == 0
    assert [path.name for path in places.folder.iterdir()] == ["logins.json"]


def test_emptying_leaves_what_is_not_the_demos(places):
    places.make()
    write_json(places.story, {"days": 1})
    kept = places.folder / "secret-key"
    kept.write_text("kept")

    places.empty()

    assert [path.name for path in places.folder.iterdir()] == ["secret-key"]


def test_groups_are_told_apart_where_there_is_no_proc(monkeypatch, tmp_path, sleeper):
    if shutil.which("ps") is None:
        pytest.skip("ps is not installed")
    monkeypatch.setattr(groups, "PROC", tmp_path)

    mark = groups.mark_of(sleeper.pid)
    alive_before = groups.is_alive(sleeper.pid)
    groups.end([sleeper.pid])

    assert mark
    assert groups.mark_of(2**22 + 1) == ""
    assert alive_before
    assert not groups.is_alive(sleeper.pid)
