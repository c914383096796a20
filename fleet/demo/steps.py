"""The steps of the demo in their order, each told when it is done."""

import shutil
import socket
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

from fleet.demo import (
    database,
    decisions,
    findings,
    register,
    reports,
    serving,
    story,
    summary,
    waiting,
)
from fleet.demo.client import Client
from fleet.demo.defaults import PROJECT_ROOT
from fleet.demo.places import DemoPlaces
from fleet.demo.problems import DemoStopped
from fleet.demo.processes import Programs
from fleet.demo.progress import Progress
from fleet.demo.story import Opening, Script
from fleet.demo.waiting import JobCounts
from fleet.demo.wishes import Wishes

RING_TIMEOUT_S = 60


def take(
    *,
    places: DemoPlaces,
    telling: Progress,
    programs: Programs,
    listening: socket.socket,
    wishes: Wishes,
) -> None:
    """Take every step up to the summary. Raises DemoStopped."""
    _start_database(places, telling)
    script = story.read(places=places, fixtures=wishes.fixtures)
    opening = _open(places, telling, script)
    waiting_jobs = register.release_jobs(contractor=opening.contractor)
    _start_programs(telling, programs, listening)
    if waiting_jobs:
        telling.tell(f"{waiting_jobs} jobs wait from an earlier run")
        _ring()
    office, technician = story.clients(address=programs.address, opening=opening)
    _bring_readings(places, telling, script, office=office, technician=technician)
    _await_jobs(telling, programs, opening, "assessed, forecast, options worked out")
    _decide(telling, programs, opening, script, office=office)
    paths = _make_reports(places, telling, programs, opening, office=office)
    if wishes.out is not None:
        paths = _copy(paths, wishes.out)
    telling.show(
        summary.text(
            found=findings.of_portfolio(office=office),
            people=opening.people,
            reports=paths,
            address=programs.address,
            folder=places.folder,
            once=wishes.once,
        )
    )


def _start_database(places: DemoPlaces, telling: Progress) -> None:
    started = database.start(places=places)
    telling.tell(f"database {'started' if started else 'found running'}")
    database.prepare(places=places)
    telling.tell("tables and queue are there")


def _open(places: DemoPlaces, telling: Progress, script: Script) -> Opening:
    opening = story.open_(places=places, script=script)
    name = opening.contractor.name
    if opening.is_first:
        machines = sum(len(b["machines"]) for b in script.portfolio["buildings"])
        telling.tell(f"registered {name}: {machines} machines, invented")
    else:
        telling.tell(
            f"{name} is registered from an earlier run; going on from there "
            "(--fresh begins anew)"
        )
    return opening


def _start_programs(
    telling: Progress, programs: Programs, listening: socket.socket
) -> None:
    programs.start(listening=listening)
    if not serving.until_ready(programs=programs, telling=telling):
        raise DemoStopped(
            f"The web server at {programs.address} did not get ready. See web.log in "
            f"{programs.places.logs}."
        )
    telling.tell(f"web server, worker and beat run at {programs.address}/")


def _bring_readings(
    places: DemoPlaces,
    telling: Progress,
    script: Script,
    *,
    office: Client,
    technician: Client,
) -> None:
    if story.is_uploaded(places=places):
        telling.tell("the readings are there from an earlier run")
        return
    story.bring_gauges(office=office, script=script)
    total: dict[str, int] = {}
    for number, upload in enumerate(script.uploads, start=1):
        counts = story.upload(technician=technician, upload=upload, number=number)
        for outcome, count in counts.items():
            total[outcome] = total.get(outcome, 0) + count
        telling.tell_now_and_then(f"  upload {number} of {len(script.uploads)}")
    if script.last_call:
        story.upload(
            technician=technician,
            upload=script.last_call,
            number=len(script.uploads) + 1,
        )
        code = script.last_call["visits"][0]["machine"]
        telling.tell(f"the call of yesterday took {code} out of service")
    story.note_uploaded(places=places)
    words = ", ".join(f"{total[name]:,} {name}" for name in sorted(total, reverse=True))
    telling.tell(f"{len(script.uploads)} uploads over HTTP: {words}")


def _await_jobs(
    telling: Progress, programs: Programs, opening: Opening, done: str
) -> None:
    def meanwhile(counts: JobCounts) -> None:
        serving.look_after(programs=programs, telling=telling)
        telling.tell_now_and_then(
            f"  the worker has done {counts.done} jobs, {counts.pending} wait"
        )

    def revive() -> None:
        if database.start(places=programs.places):
            telling.tell("the database had ended and was started again")

    counts = waiting.until_done(
        contractor=opening.contractor, meanwhile=meanwhile, revive=revive
    )
    telling.tell(f"{done}: {counts.done} jobs are done")
    for failure in waiting.failures(contractor=opening.contractor):
        telling.tell(f"  failed: {failure}")


def _decide(
    telling: Progress,
    programs: Programs,
    opening: Opening,
    script: Script,
    *,
    office: Client,
) -> None:
    """Say what work costs and how long it takes to come, then choose one option."""
    if decisions.bring_terms(office=office, terms=script.terms):
        telling.tell("the office said its rates and lead times, invented")
        _await_jobs(telling, programs, opening, "options with costs and dates")
    chosen = decisions.choose_one(office=office)
    if chosen is not None:
        due = chosen["due_before_on"]
        by_when = f", before {due}" if due else ""
        code, words = chosen["machine_code"], chosen["words"]
        telling.tell(f"the office chose for {code}: {words}{by_when}")


def _make_reports(
    places: DemoPlaces,
    telling: Progress,
    programs: Programs,
    opening: Opening,
    *,
    office: Client,
) -> list[Path]:
    wanted = reports.ask_for(office=office, today=datetime.now(UTC).date())
    new = sum(one.is_new for one in wanted)
    if new:
        telling.tell(f"asked for {new} condition reports, one for each building")
        _await_jobs(telling, programs, opening, "published")
    paths = reports.fetch(office=office, wanted=wanted, folder=places.reports)
    telling.tell(f"fetched {len(paths)} reports")
    return paths


def _copy(paths: list[Path], out: Path) -> list[Path]:
    try:
        out.mkdir(parents=True, exist_ok=True)
        return [Path(shutil.copy(path, out)) for path in paths]
    except OSError as problem:
        raise DemoStopped(f"The reports cannot be copied: {problem}") from problem


def _ring() -> None:
    """Have the sweeper ring at once, instead of at its next turn."""
    subprocess.run(
        [sys.executable, "-m", "celery", "-A", "fleet", "call", "fleet.tasks.sweep"],
        cwd=PROJECT_ROOT,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        timeout=RING_TIMEOUT_S,
        check=False,
    )
