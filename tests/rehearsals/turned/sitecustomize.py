"""A Python program that goes by a clock which the file `REHEARSED_CLOCK` sets.

Python imports it before anything else where this folder is in PYTHONPATH. The file
holds the seconds by which the clock is wrong; the steady clock is left alone, as by a
machine whose clock is set.
"""

import os
import threading
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

import time_machine

LOOK_EVERY_S = 0.5
HAND = Path(os.environ["REHEARSED_CLOCK"])


def wrong_by() -> timedelta:
    """Return by how much the clock is wrong now."""
    return timedelta(seconds=float(HAND.read_text() or 0))


def told(by: timedelta) -> datetime:
    """Return what the clock tells, by the machine's own one."""
    way = time_machine.escape_hatch
    now = way.time.time if way.is_travelling() else time.time
    return datetime.fromtimestamp(now(), UTC) + by


def follow() -> None:
    """Turn the clock whenever the file says another time."""
    known, waiting = wrong_by(), threading.Event()
    while True:
        waiting.wait(LOOK_EVERY_S)
        by = wrong_by()
        if by != known:
            known = by
            clock.move_to(told(by))


def begin() -> None:
    """Follow in a thread, which a fork does not take along."""
    threading.Thread(target=follow, daemon=True).start()


traveller = time_machine.travel(told(wrong_by()), tick=True)
clock = traveller.start()
begin()
os.register_at_fork(after_in_child=begin)
