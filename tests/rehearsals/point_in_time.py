"""Restored to the minute: a base copy, the log kept since, then everything destroyed.

Written before: readings over HTTP by another process. Noted: the minute, and a picture
of all rows, rights, triggers and files. Written on. Then server, data and files go, and
come back from the sealed archive; a third process counts. Fault 71.
"""

import sys
import time
from argparse import ArgumentParser
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from fleet.embedded import folders, places
from tests import picture
from tests.fleet.embedded.conftest import reachable_folder
from tests.rehearsals import ledger
from tests.rehearsals.service import Service

# Counted anew after a crash by design; and counters, which go on a little later.
APART = {"rows of fleet_tally", "counters"}
PHOTO = b"what a photo is made of, for its digest only"
# What beat has a worker do every twenty seconds.
SWEEP = (
    "import django; django.setup(); "
    "from fleet.platform.queue import tasks; tasks.sweep()"
)
REFERENCES = "SELECT reference FROM inspections_reading"
ROLES = (
    "SELECT rolname, rolsuper, rolbypassrls, rolcanlogin, rolreplication FROM pg_roles "
    "WHERE rolname LIKE 'ropeseat%' ORDER BY 1"
)


def rehearse(arguments: Sequence[str]) -> dict[str, Any]:
    """Play it through; return what was lost, doubled, and how long it took."""
    parser = ArgumentParser(prog="python -m tests.rehearsals point_in_time")
    parser.add_argument("--programs", type=Path, help="folder of PostgreSQL programs")
    parser.add_argument("--archive-timeout", type=int, default=60, metavar="S")
    parser.add_argument("--write", type=int, default=10, metavar="S")
    given = parser.parse_args(arguments)
    with reachable_folder() as folder:
        service = Service(
            folder=folder,
            archived=True,
            timeout_s=given.archive_timeout,
            programs=given.programs,
        )
        try:
            return _story(service, write_s=given.write)
        finally:
            service.database.stop()


def _story(service: Service, *, write_s: int) -> dict[str, Any]:
    service.make_keys()
    service.install()
    service.run(sys.executable, "-c", SWEEP)
    media = Path(service.environment["MEDIA_ROOT"])
    with service.web():
        with service.driven("before") as before:
            time.sleep(write_s / 2)
            base = service.keep("base-backup", str(service.archive))
            time.sleep(write_s)
        (media / "photos").mkdir(parents=True)
        (media / "photos" / "one").write_bytes(PHOTO)
        kept = service.keep_files("keep-files", str(service.archive), str(media))
        was = _picture(service, media)
        minute = datetime.now(UTC)
        time.sleep(1)
        with service.driven("after") as after:
            # So long that what was written before has been kept in any case.
            time.sleep(service.timeout_s + write_s)
            service.destroy()
            destroyed_at = datetime.now(UTC)
    latest_loses_s = _lost_at_latest(service, base, after, destroyed_at)
    service.destroy()
    began = time.monotonic()
    _restore(service, base=base, until=minute.isoformat(sep=" "))
    sealed = (str(service.archive), str(service.identity), str(media))
    service.keep_files("fetch-files", *sealed)
    service.database.start()
    with service.web():
        restored_s = time.monotonic() - began
        is_now = _picture(service, media)
        at_minute = service.judged(before, minute.isoformat())
        later = service.judged(after, minute.isoformat())
        # Devices send once more what they sent, told of or not.
        service.send_again(after, prefix="after")
    whole = service.judged(after)
    names = was.keys() | is_now.keys()
    return {
        "server": service.query("SHOW server_version")[0][0],
        "acknowledged": at_minute["acknowledged"] + whole["acknowledged"],
        "lost": at_minute["lost"] + whole["lost"],
        "doubled": at_minute["doubled"] + whole["doubled"],
        "from_after_the_minute": later["later"],
        "different": sorted(n for n in names - APART if was.get(n) != is_now.get(n)),
        "counters_go_on": _none_goes_back(was["counters"], is_now["counters"]),
        "files_kept": int(kept),
        "mails_held": _mails_are_held(service),
        "archive_timeout_s": service.timeout_s,
        "latest_loses_s": latest_loses_s,
        "restored_within_s": round(restored_s, 1),
    }


def _lost_at_latest(
    service: Service, base: str, notes: Path, destroyed_at: datetime
) -> float:
    """Restore all that was kept; return the age of the oldest write that is missing."""
    _restore(service, base=base, until="latest")
    service.database.start()
    there = {row[0] for row in service.query(REFERENCES)}
    told = [line for line in ledger.read(notes) if line.told]
    missing = [line.told for line in told if not set(line.references) <= there]
    return round((destroyed_at - min(missing)).total_seconds(), 1) if missing else 0.0


def _restore(service: Service, *, base: str, until: str) -> None:
    runner = service.runner
    data = places.places_of(service.database.directory).data
    folders.make(data, mode=0o700, owner=runner)
    sealed = (str(service.archive), base, str(service.identity))
    service.keep("restore-to", *sealed, str(data), until)


def _picture(service: Service, media: Path) -> dict[str, Any]:
    roles = {"roles": service.query(ROLES)}
    return picture.taken(query=service.query, media=media) | roles


def _none_goes_back(before: list[str], after: list[str]) -> bool:
    """Tell whether no counter gives a number a second time."""
    first, then = (
        dict(row.rsplit(", ", 1) for row in rows) for rows in (before, after)
    )
    was = {name: int(last) for name, last in first.items() if last != "None"}
    return all(int(then[name].replace("None", "0")) >= was[name] for name in was)


def _mails_are_held(service: Service) -> bool:
    told = service.run(sys.executable, "manage.py", "release_mails", "--dry-run")
    return "Mails are held" in told
