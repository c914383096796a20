"""Requests counted by route, over all processes; who takes data out is told."""

import json
import os
import subprocess
import sys

import pytest
from django.test import Client

from fleet.platform import counters, peers, security_log
from fleet.platform.watching import logs
from tests import browsers, callers, factories
from tests.fleet.installation import ROOT

COUNT = """
import os, sys, time
import django
django.setup()
from fleet.platform import counters
if sys.argv[1] == "fork":
    counters.TASKS.labels("a", "SUCCESS").inc()
    if os.fork() == 0:
        counters.TASKS.labels("a", "SUCCESS").inc(10)
        os._exit(0)
    os.wait()
counters.TASKS.labels("a", "SUCCESS").inc()
print(counters.IS_SHARED, flush=True)
sys.stdin.read()
"""
SUM = """
import django
django.setup()
from fleet.platform import counters
print([s.value for f in counters.AllProcesses().collect() for s in f.samples
       if s.name == "ropeseat_tasks_total"])
"""


def samples(name):
    return {
        tuple(sorted(sample.labels.items())): sample.value
        for family in counters.AllProcesses().collect()
        for sample in family.samples
        if sample.name == name
    }


def requests(**labels):
    return samples("ropeseat_requests_total").get(tuple(sorted(labels.items())), 0)


# --- counted --------------------------------------------------------------------------
@pytest.mark.django_db
def test_a_request_is_counted_by_its_route_and_not_by_its_address(north):
    kept = {"route": "machine-detail", "method": "GET", "status": "404"}
    before = requests(**kept)

    for pk in (10**9, 10**9 + 1):
        callers.call(north, "GET", f"/api/v1/machines/{pk}")

    assert requests(**kept) == before + 2
    routes = {dict(labels)["route"] for labels in samples("ropeseat_requests_total")}
    assert not [route for route in routes if str(10**9) in route]


@pytest.mark.django_db
def test_what_leads_nowhere_and_odd_methods_make_no_names_of_their_own():
    Client().generic("BREW", "/nowhere/at/all")

    assert requests(route="none", method="other", status="404") >= 1


@pytest.mark.django_db
def test_a_fault_of_the_server_is_counted_as_one(north, monkeypatch):
    def fails(self, request, *_, **__):
        raise RuntimeError

    monkeypatch.setattr("fleet.register.api.views.OwnerViewSet.list", fails)
    kept = {"route": "owner-list", "method": "GET", "status": "500"}
    before = requests(**kept)

    callers.call(north, "GET", "/api/v1/owners")

    assert requests(**kept) == before + 1


@pytest.mark.django_db
def test_its_time_is_in_the_histogram(north):
    callers.call(north, "GET", "/api/v1/owners")

    counted = samples("ropeseat_request_duration_seconds_count")
    assert counted[(("route", "owner-list"),)] >= 1
    whole = samples("ropeseat_request_duration_seconds_bucket")
    assert (
        whole[(("le", "+Inf"), ("route", "owner-list"))]
        == counted[(("route", "owner-list"),)]
    )


@pytest.mark.long
@pytest.mark.processes
def test_processes_add_up_and_places_are_taken_again(tmp_path):
    environment = dict(os.environ) | {"METRICS_DIRECTORY": str(tmp_path)}

    def start(how):
        return subprocess.Popen(
            [sys.executable, "-c", COUNT, how],
            cwd=ROOT,
            env=environment,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
        )

    def end(process):
        process.communicate(timeout=30)
        assert process.returncode == 0

    first, second = start("alone"), start("fork")
    assert [p.stdout.readline() for p in (first, second)] == [b"True\n"] * 2
    end(first)
    end(second)
    files = len(list(tmp_path.glob("*.db")))
    third = start("alone")
    third.stdout.readline()
    end(third)

    asked = subprocess.run(
        [sys.executable, "-c", SUM],
        cwd=ROOT,
        env=environment,
        capture_output=True,
        check=True,
        text=True,
    )

    # 1 alone, 1 + 10 + 1 with a fork, 1 by one that took a place again.
    assert asked.stdout.strip() == "[14.0]"
    assert len(list(tmp_path.glob("*.db"))) == files


@pytest.mark.processes
def test_without_a_folder_each_process_counts_for_itself(tmp_path):
    taken = tmp_path / "a-file"
    taken.touch()

    asked = subprocess.run(
        [sys.executable, "-c", COUNT, "alone"],
        cwd=ROOT,
        env=dict(os.environ) | {"METRICS_DIRECTORY": str(taken)},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        check=True,
        text=True,
    )

    assert asked.stdout.strip() == "False"
    assert "counts of this process are its own" in asked.stderr


VANISHED = """
import shutil
import django
django.setup()
from django.conf import settings
from django.http import HttpResponse
from django.test import RequestFactory
from fleet.platform import counters, security_log
from fleet.platform.watching.counting import CountRequests
shutil.rmtree(settings.METRICS_DIRECTORY)
request = RequestFactory().get("/")
request.resolver_match = None
print(counters.IS_SHARED, CountRequests(lambda _: HttpResponse(b"ok"))(request).content)
security_log.tell("token-refused")
"""


@pytest.mark.processes
def test_requests_are_answered_and_events_told_when_the_folder_has_gone(tmp_path):
    asked = subprocess.run(
        [sys.executable, "-c", VANISHED],
        cwd=ROOT,
        env=dict(os.environ) | {"METRICS_DIRECTORY": str(tmp_path / "counts")},
        capture_output=True,
        check=True,
        text=True,
    )

    assert asked.stdout.strip() == "True b'ok'"
    # Events are counted on in a file that was open by then.
    assert asked.stderr.count("not counted") == 1
    assert "token-refused" in asked.stderr


# --- told -----------------------------------------------------------------------------
def events(caplog, name):
    lines = [r for r in caplog.records if r.name == "ropeseat.security"]
    return [r for r in lines if r.event == name]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("path", "is_told"),
    [
        ("/api/v1/exports/owners.csv", True),
        ("/api/v1/exports/register.zip", True),
        ("/api/v1/owners", False),
        ("/api/v1/exports/nothing.csv", False),
    ],
)
def test_whoever_takes_a_file_out_is_told(north, caplog, path, is_told):
    with caplog.at_level("INFO", logger="ropeseat.security"):
        callers.call(north, "GET", path)

    lines = events(caplog, "taken-out")
    assert [line.details["path"] for line in lines] == [path] * is_told


@pytest.mark.django_db
def test_an_events_line_names_person_key_request_client_and_proxy(
    north, settings, capsys
):
    settings.BEHIND_PROXY = True
    settings.PROXY_ADDRESSES = ()
    seen = {}

    class Kept(logs.JsonLines):
        def format(self, record):
            line = super().format(record)
            if getattr(record, "event", "") == "taken-out":
                seen.update(json.loads(line))
            return line

    import logging

    handler = logging.StreamHandler()
    handler.setFormatter(Kept())
    logging.getLogger("ropeseat.security").addHandler(handler)
    try:
        factories.forget_tenant()
        Client().get(
            "/api/v1/exports/owners.csv",
            headers=north.headers()
            | {"X-Forwarded-For": "6.6.6.6, 203.0.113.9", "X-Request-ID": "a" * 12},
            REMOTE_ADDR="10.0.0.2",
        )
    finally:
        logging.getLogger("ropeseat.security").removeHandler(handler)

    office = north.memberships["OFFICE"]
    assert seen["event"] == "taken-out"
    assert seen["details"]["path"] == "/api/v1/exports/owners.csv"
    assert seen["person"] == office.person_id
    assert seen["key"] == office.tokens.get().pk
    assert (seen["client"], seen["proxy"]) == ("203.0.113.9", "10.0.0.2")
    assert seen["request"] == "a" * 12


@pytest.mark.django_db
def test_log_ins_that_fail_and_keys_that_are_wrong_are_counted(north):
    def told(event):
        return samples("ropeseat_security_events_total").get((("event", event),), 0)

    before = {name: told(name) for name in ("log-in-failed", "key-refused")}
    Client().post("/log-in", {"username": "x", "password": "s3cret"})
    Client().get("/api/v1/me", headers={"Authorization": "Bearer rseat_x_y"})

    assert {name: told(name) - n for name, n in before.items()} == {
        "log-in-failed": 1,
        "key-refused": 1,
    }


@pytest.mark.django_db
def test_nothing_that_was_typed_is_in_a_line(north, caplog):
    with caplog.at_level("INFO"):
        Client().post("/log-in", {"username": "typed-here", "password": "s3cret-word"})
        browser = browsers.log_in(north.memberships["OFFICE"].person)
        browsers.post(browser, f"{browsers.PATH}/verify", {"code": "123123"})

    said = "".join(logs.Lines().format(record) for record in caplog.records)
    assert "log-in-failed" in said
    for typed in ("typed-here", "s3cret-word", "123123", browsers.PASSWORD):
        assert typed not in said


def test_outside_a_request_an_event_is_told_all_the_same(caplog):
    with caplog.at_level("INFO", logger="ropeseat.security"):
        security_log.note(person=7)
        security_log.tell("something", what=None)

    [line] = events(caplog, "something")
    assert line.details == {}


# --- whose address is believed --------------------------------------------------------
@pytest.mark.parametrize(
    ("peer", "believed"),
    [("10.0.0.2", True), ("10.0.1.2", False), ("", True), ("odd", False)],
)
def test_only_the_proxys_own_address_may_say_whose_request_it_is(
    settings, rf, peer, believed
):
    from ipaddress import ip_network

    settings.BEHIND_PROXY = True
    settings.PROXY_ADDRESSES = (ip_network("10.0.0.0/24"),)
    request = rf.get("/", REMOTE_ADDR=peer, headers={"X-Forwarded-For": "203.0.113.9"})

    address = peers.address_of(request)

    assert address == ("203.0.113.9" if believed else peer)
