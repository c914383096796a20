"""What an earlier run left behind, if even its guard was killed."""

import os

from fleet.demo import groups, guard
from fleet.demo.places import DemoPlaces, read_json, write_json
from fleet.demo.problems import DemoStopped
from fleet.embedded import EmbeddedDatabaseUnavailable, locking

GUARD_WAIT_S = 60.0


def take_lock(places: DemoPlaces) -> int:
    """Return the open lock of the demo, held as long as this process lives.

    Raises DemoStopped if another demo runs here.
    """
    lock = locking.take(places.lock)
    if lock is None:
        running = read_json(places.processes)
        raise DemoStopped(
            f"The demo is running already (process {running.get('demo', 'not known')},"
            f" {running.get('address', 'still starting')}). Look at that one, or stop "
            "it first: Ctrl-C where it runs."
        )
    return lock


def clear(places: DemoPlaces) -> bool:
    """End what an earlier run left; return whether there was anything.

    Raises DemoStopped if the earlier run's guard does not finish.
    """
    try:
        # The guard of a run that was just killed may still be stopping things.
        with locking.exclusive(places.guard_lock, wait_s=GUARD_WAIT_S):
            pass
    except EmbeddedDatabaseUnavailable as problem:
        raise DemoStopped(str(problem)) from problem
    if not places.processes.exists():
        return False
    found = read_json(places.processes)
    left = [
        int(group)
        for group, mark in found.get("groups", {}).items()
        if mark and groups.mark_of(int(group)) == mark
    ]
    guard.stop(places=places, watched=left, late_start_s=0.0)
    return bool(left)


def note(places: DemoPlaces, *, started: list[int], address: str) -> None:
    """Write down who runs, with the marks that tell them from later processes."""
    write_json(
        places.processes,
        {
            "demo": os.getpid(),
            "address": address,
            "groups": {str(group): groups.mark_of(group) for group in started},
        },
    )
