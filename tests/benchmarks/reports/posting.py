"""Plans due at once over two real workers: published once, sent once, memory flat."""

import os
import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.fleet.embedded.conftest import reachable_folder
from tests.fleet.installation import ROOT
from tests.reports import mail_server
from tests.reports.post_office import PostOffice

WITHIN_S = 1800
KILLED_AFTER, MEASURED_AFTER = 0.3, 0.2


def measure(*, plans: int, kills: bool) -> dict[str, float]:
    """Return what became of the plans; with ``kills`` one worker dies on the way."""
    with mail_server.running() as mail, reachable_folder() as folder:
        office = PostOffice(folder=folder, mail=mail)
        try:
            office.install()
            office.fill(plans=plans)
            memory, seconds = _carry_out(office, plans, kills=kills)
            return (
                _figures(office, plans)
                | memory
                | {"posting_seconds": round(seconds, 1)}
            )
        finally:
            office.database.stop()
            office.broker.stop()


def _carry_out(
    office: PostOffice, plans: int, *, kills: bool
) -> tuple[dict[str, float], float]:
    """Run beat and two workers until every report is out; return their memory."""
    begun, early, killed = time.monotonic(), 0.0, not kills
    with office.beat(), _worker(office) as one, _worker(office) as other:
        running = [one, other]
        while not _is_done(office, plans):
            if time.monotonic() - begun > WITHIN_S:
                break
            time.sleep(1.0)
            sent = len(office.mail.taken) / plans
            if not early and sent >= MEASURED_AFTER:
                early = max(_megabytes(each.pid) for each in running)
            if not killed and sent >= KILLED_AFTER:
                _kill(running.pop(0))
                running.append(_start(office))
                killed = True
        late = max(_megabytes(each.pid) for each in running)
        for each in running:
            _kill(each)
    memory = {
        "worker_megabytes_early": round(early, 1),
        "worker_megabytes_late": round(late, 1),
    }
    return memory, time.monotonic() - begun


def _figures(office: PostOffice, plans: int) -> dict[str, float]:
    """Return how many were published, lost and sent more than once."""
    published = office.counts().get("report PUBLISHED", 0)
    taken = Counter(address for address, _raw in office.mail.taken)
    by_message = office.mail.times_taken()
    files = list((office.folder / "media").rglob("*.pdf"))
    return {
        "plans": plans,
        "published": published,
        "files": len(files),
        "lost": plans - len(taken),
        "sent_twice": sum(count - 1 for count in taken.values()),
        # A worker that dies between the mail server's answer and its own note sends
        # again under the same Message-ID, which readers' programs show once.
        "sent_twice_under_one_message_id": sum(n - 1 for n in by_message.values()),
    }


def _is_done(office: PostOffice, plans: int) -> bool:
    return office.counts() == {"report PUBLISHED": plans, "mail SENT": plans}


@contextmanager
def _worker(office: PostOffice) -> Iterator["subprocess.Popen[bytes]"]:
    running = _start(office)
    try:
        yield running
    finally:
        _kill(running)


def _start(office: PostOffice) -> "subprocess.Popen[bytes]":
    with office.log("worker").open("ab") as log:
        return subprocess.Popen(
            [
                *(sys.executable, "-m", "celery", "-A", "fleet", "worker"),
                *("--concurrency", "1", "-n", f"w{time.monotonic_ns()}@%h"),
            ],
            cwd=ROOT,
            env=office.environment,
            stdout=log,
            stderr=log,
            start_new_session=True,
        )


def _kill(running: "subprocess.Popen[bytes]") -> None:
    """End a worker and its children as a lack of memory would: no goodbye."""
    if running.poll() is None:
        os.killpg(running.pid, signal.SIGKILL)
    running.wait()


def _megabytes(group: int) -> float:
    """Return the memory that only a worker's own processes hold."""
    kilobytes = 0
    for path in Path("/proc").glob("[0-9]*"):
        try:
            if os.getpgid(int(path.name)) != group:
                continue
            lines = (path / "smaps_rollup").read_text().splitlines()
        except (OSError, ProcessLookupError):
            continue
        kilobytes += sum(
            int(line.split()[1]) for line in lines if line.startswith("Private_")
        )
    return kilobytes / 1024
