"""Is a reading with its tick ever lost? ``python -m tests.benchmarks.field --json``

Technicians type into the field page in a real Chromium, without signal; their browsers
and the web server are killed in the middle of it, a backup is brought back, a new
version of the page comes while readings wait, the phones' storage is full. Browsers,
web server and database are processes of their own; this program sees what stands on the
screens and, at the end, the server's rows, and compares them by machine, kind, place
and value. ``--quick`` is a small form of it.

It fails unless every tick that was seen has its row, and each just one.
"""

import argparse
import json
import random
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path
from typing import Any

from playwright import sync_api as playwright

from tests import environment  # noqa: F401, RUF100  the environment comes first
from tests.benchmarks import running
from tests.benchmarks.field import server as servers
from tests.benchmarks.field.technician import Technician
from tests.browser.field.phone import Phone, until
from tests.services import programs

# The longest a phone lives on after the last key before it falls; a strict write ends
# within this, so some fall before their tick and some after.
_FALL_MS = 40.0
_PATIENCE_S = 90.0
_SHELLS = (
    "() => caches.keys().then((all) => all.filter((each) => each.includes('shell')))"
)
# Machines of the one pack that is timed, where there are so many.
_PACK = 20


def measure(given: argparse.Namespace) -> running.Figures:
    """Return the figures of one run, told before anything is taken down."""
    begun = time.perf_counter()
    with tempfile.TemporaryDirectory(prefix="ropeseat-field-", dir="/tmp") as folder:
        # The embedded server of root runs as another user, who must get in.
        Path(folder).chmod(0o711)
        server = servers.Server(folder=Path(folder))
        try:
            server.install()
            with playwright.sync_playwright() as driver:
                figures = _lived(server, driver, given) | {
                    "seconds": round(time.perf_counter() - begun, 1)
                }
                running.tell(figures, as_json=given.json, width=24)
                sys.stdout.flush()
                return figures
        finally:
            server.down(counted=False)
            for each in (server.database, server.broker):
                each.stop()


def _lived(
    server: servers.Server, driver: playwright.Playwright, given: argparse.Namespace
) -> running.Figures:
    chance = random.Random(given.seed)
    made = server.register(phones=given.phones, machines=given.phones * given.machines)
    server.up()
    people: list[Technician] = []
    try:
        pack = _pair(server, driver, given, made, people, chance)
        story = _Story(server=server, people=people, given=given, chance=chance)
        return story.lived() | pack
    finally:
        for person in people:
            person.phone.kill()
            if _has_own_disk(person):
                subprocess.run(["umount", "-l", str(person.phone.profile)], check=False)


def _pair(
    server: servers.Server,
    driver: playwright.Playwright,
    given: argparse.Namespace,
    made: dict[str, list[str]],
    people: list[Technician],
    chance: random.Random,
) -> running.Figures:
    """Pair a phone for each code and let it fetch its day; tell what a pack costs."""
    pack: running.Figures = {}
    for n, code in enumerate(made["codes"]):
        profile = server.folder / f"phone-{n}"
        profile.mkdir()
        if n == 0:
            _own_disk(profile)
        phone = Phone(
            driver=driver,
            program=str(programs.program("chromium")),
            profile=profile,
            address=server.address,
        )
        machines = made["machines"][n * given.machines : (n + 1) * given.machines]
        people.append(Technician(phone=phone, machines=machines, chance=chance))
        people[-1].pair(code)
        pack = people[-1].cost_of_pack(_PACK)
        people[-1].rest()
    return pack


# Readings that may still find room in what the store has laid out ahead.
_TRIES = 8
_DISK = "size=250m"


def _note(*said: object) -> None:
    """Say on the terminal how far it is."""
    print(f"{time.monotonic():10.1f}", *said, file=sys.stderr, flush=True)


def _own_disk(profile: Path) -> None:
    """Give the phone a small disk of its own, where the system lets us."""
    subprocess.run(
        ["mount", "-t", "tmpfs", "-o", _DISK, "tmpfs", str(profile)],
        check=False,
        capture_output=True,
    )


def _has_own_disk(person: Technician) -> bool:
    return person.phone.profile.is_mount()


class _Story:
    """What happens to the phones and the server, in order."""

    def __init__(
        self,
        *,
        server: servers.Server,
        people: list[Technician],
        given: argparse.Namespace,
        chance: random.Random,
    ) -> None:
        self.server, self.people, self.given, self.chance = (
            server,
            people,
            given,
            chance,
        )
        self.happened: Counter[str] = Counter()

    def lived(self) -> running.Figures:
        """Live through all of it; what stopped it early is told with the figures."""
        try:
            self._days()
        except (AssertionError, TimeoutError, playwright.Error) as problem:
            _note("stopped", repr(problem))
            for person in self.people:
                if person.page is not None:
                    _note(person.screen.url, person.screen.inner_text("body")[:900])
            return self._compared() | {"stopped_by": str(problem)[:300]}
        return self._compared()

    def _days(self) -> None:
        rounds = self.given.machines
        for turn in range(rounds):
            for person in self.people:
                self._visit(person, person.machines[turn])
                if not self.happened["backups"]:
                    self.server.back_up()
                    self.happened["backups"] += 1
        self._restore()
        for person in self.people:
            person.wake(signal=True)
            self._asked_again(person)
            person.has_sent()
            person.die()

    def _asked_again(self, person: Technician) -> None:
        """Give the phone time to hear from a restored server what it lacks."""
        end = time.monotonic() + _PATIENCE_S
        while self._lost_of(person) and time.monotonic() < end:
            person.send()
            person.screen.wait_for_timeout(1000)

    def _lost_of(self, person: Technician) -> int:
        values = {(row[0], row[1], row[4]) for row in self.server.rows()}
        return sum(
            (tick.machine, tick.kind, tick.value) not in values for tick in person.ticks
        )

    def _visit(self, person: Technician, machine: str) -> None:
        """Type one visit in the cellar, falling on the way; then send it."""
        _note(machine, "is entered")
        person.wake(signal=False)
        person.begin(machine)
        there = len(person.open_fields())
        spare = _TRIES if self._fills_a_disk(person) else 0
        wanted = min(self.given.readings, there - spare)
        _note(machine, "has fields:", there)
        falls = set(self.chance.sample(range(wanted), min(self.given.falls, wanted)))
        for number in range(wanted):
            fields = person.open_fields()
            if not fields:
                break
            if number in falls:
                after = self.chance.uniform(0, _FALL_MS)
                person.type_next(machine, fields[0], fall_after_ms=after)
                _note(machine, "fell at reading", number)
                person.wake(signal=False)
                person.begin(machine)
            else:
                person.type_next(machine, fields[0], fall_after_ms=None)
        self._with_full_storage(person, machine)
        self._with_a_newer_page(person)
        _note(machine, "sends", dict(self.happened))
        self._send(person)
        person.die()

    def _fills_a_disk(self, person: Technician) -> bool:
        return not self.happened["storage_full"] and _has_own_disk(person)

    def _with_full_storage(self, person: Technician, machine: str) -> None:
        """Once: the disk is full; what is typed then is told as not kept, and stays."""
        if not self._fills_a_disk(person):
            return
        person.fill()
        told = ""
        for shown in person.open_fields()[:_TRIES]:
            # What still found room has its tick and counts as kept.
            if not person.type_next(machine, shown, fall_after_ms=None):
                told = person.screen.inner_text("#told")
                break
        person.free()
        if "full" not in told:
            raise AssertionError(f"storage is full, but it was said: {told!r}")
        self.happened["storage_full"] += 1
        # With room again the same text, still in its field, is kept by one key.
        person.again(machine, shown)

    def _with_a_newer_page(self, person: Technician) -> None:
        """Once: a later version of page and store comes while readings wait."""
        if self.happened["version_changes"] or person is not self.people[-1]:
            return
        self.server.down(counted=False)
        self.server.page = servers.newer_page(self.server.folder)
        self.server.up()
        page = person.screen
        before = page.evaluate(_SHELLS)
        # The worker fetches by itself, below the page: signal comes to the phone whole.
        page.route("**/api/**", lambda route: route.abort())
        person.signal(True)
        page.evaluate("() => navigator.serviceWorker.ready.then((r) => r.update())")
        until(
            page,
            f"async (old) => [1].includes((await ({_SHELLS})()).length)"
            f" && (await ({_SHELLS})())[0] !== old[0]",
            before,
        )
        page.reload()
        page.wait_for_selector("ul.grid > li")
        version = page.evaluate(
            "() => indexedDB.databases().then((all) => all[0].version)"
        )
        page.unroute("**/api/**")
        if version != 2:
            raise AssertionError(f"the store is still of version {version}")
        self.happened["version_changes"] += 1

    def _send(self, person: Technician) -> None:
        """Leave the cellar; the server may die while it is being told."""
        if self.server.kills < self.given.server_kills:
            person.signal(True)
            with self.server.dying(after_s=self.chance.uniform(0.0, 0.5)):
                person.send()
            person.has_sent()
        else:
            person.signal(True)
            person.has_sent()

    def _restore(self) -> None:
        """Bring the backup back: what came after it is asked for again."""
        _note("the backup comes back")
        before = len(self.server.rows())
        self.server.restore()
        self.happened["gone_with_the_backup"] = before - len(self.server.rows())
        self.happened["restored"] += 1

    def _compared(self) -> running.Figures:
        asked: dict[tuple[object, ...], list[dict[str, object]]] = {}
        for each in (each for person in self.people for each in person.typed):
            known = asked.setdefault(
                (each.machine, each.kind, each.number, each.value), []
            )
            known.append(dict(json.loads(each.place)))
        rows = Counter(
            (machine, kind, str(number or ""), _placed(_as_asked(place, known)), value)
            for machine, kind, place, number, value, _ in self.server.rows()
            for known in [asked.get((machine, kind, str(number or ""), value), [])]
        )
        ticks = {_key(each) for person in self.people for each in person.ticks}
        typed = {_key(each) for person in self.people for each in person.typed}
        seen = sum(len(person.ticks) for person in self.people)
        strokes = sum(person.strokes for person in self.people)
        return {
            "phones": len(self.people),
            "typed": len(typed),
            "kept": seen,
            "stored": sum(rows.values()),
            "lost": len(ticks - set(rows)),
            "doubled": sum(count - 1 for count in rows.values()),
            "unknown": len(set(rows) - typed),
            "browser_kills": sum(person.phone.kills for person in self.people),
            "server_kills": self.server.kills,
            "strokes_per_reading": round(strokes / max(seen, 1), 3),
            "digits": sum(person.digits for person in self.people),
            "not_kept": sum(person.unkept for person in self.people),
            "strokes_for": dict(sum((p.spent for p in self.people), Counter())),
            **self.happened,
        }


def _key(tick: object) -> tuple[str, ...]:
    return (
        tick.machine,  # type: ignore[attr-defined]
        tick.kind,  # type: ignore[attr-defined]
        tick.number,  # type: ignore[attr-defined]
        _placed(dict(json.loads(tick.place))),  # type: ignore[attr-defined]
        tick.value,  # type: ignore[attr-defined]
    )


def _as_asked(place: Any, known: list[dict[str, object]]) -> object:
    """Return a row's place as its field had it, without what stood beside the grid."""
    fitting = [each for each in known if each.items() <= place.items()]
    return max(fitting, key=len, default=place)


def _placed(place: object) -> str:
    return json.dumps(place, sort_keys=True)


def arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, epilog=running.QUIET)
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument("--quick", action="store_true", help="two phones, a visit each")
    parser.add_argument("--phones", type=int, default=5)
    parser.add_argument(
        "--machines", type=int, default=2, help="of each phone; 5 take nine minutes"
    )
    parser.add_argument("--readings", type=int, default=60, help="of each visit")
    parser.add_argument("--falls", type=int, default=1, help="of a phone, each visit")
    parser.add_argument("--server-kills", type=int, default=10)
    parser.add_argument("--seed", type=int, default=16)
    given = parser.parse_args()
    if given.quick:
        given.phones, given.machines, given.readings, given.server_kills = 2, 1, 12, 1
    return given


def main() -> None:
    given = arguments()
    figures = measure(given)
    if any(figures.get(bad) for bad in ("lost", "doubled", "unknown", "stopped_by")):
        sys.exit(1)


if __name__ == "__main__":
    main()
