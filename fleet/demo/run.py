"""One run of the demo, from the lock to the last process stopped."""

import os
import signal
import socket
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType

from django.db import connection

from fleet.demo import defaults, guard, leftovers, ports, progress, serving, steps
from fleet.demo.guard import Guard
from fleet.demo.places import DemoPlaces
from fleet.demo.processes import Programs
from fleet.demo.progress import Progress
from fleet.demo.wishes import Wishes


def run(*, wishes: Wishes) -> None:
    """Run the demo; everything it starts is stopped when this returns or raises.

    Raises DemoStopped if it cannot go on, KeyboardInterrupt if it is stopped before
    its reports are made.
    """
    places = DemoPlaces(folder=Path(os.environ[defaults.STATE_FOLDER]))
    telling = progress.on_stdout()
    lock = leftovers.take_lock(places)
    try:
        if leftovers.clear(places):
            telling.tell("ended processes that an earlier run had left")
        if wishes.fresh:
            guard.server_of(places).stop()
            places.empty()
            telling.tell("removed what earlier runs had made")
        places.make()
        with _interruptible(), ports.listen(port=wishes.port) as listening:
            _run(places, telling, listening, wishes)
    finally:
        os.close(lock)


def _run(
    places: DemoPlaces,
    telling: Progress,
    listening: socket.socket,
    wishes: Wishes,
) -> None:
    address = f"http://{ports.HOST}:{listening.getsockname()[1]}"
    programs = Programs(places=places, guard=Guard(places=places), address=address)
    leftovers.note(places, started=[], address=address)
    try:
        steps.take(
            places=places,
            telling=telling,
            programs=programs,
            listening=listening,
            wishes=wishes,
        )
        if not wishes.once:
            serving.until_interrupted(places=places, programs=programs, telling=telling)
    finally:
        telling.tell("stopping the web server, the worker, beat and the database")
        connection.close()
        programs.guard.release(meanwhile=programs.reap)
        telling.tell("everything is stopped")


@contextmanager
def _interruptible() -> Iterator[None]:
    """Let a request to end, or a closed terminal, count as Ctrl-C."""

    def interrupt(number: int, frame: FrameType | None) -> None:
        raise KeyboardInterrupt

    numbers = (signal.SIGTERM, signal.SIGHUP)
    before = [signal.signal(number, interrupt) for number in numbers]
    try:
        yield
    finally:
        for number, handler in zip(numbers, before, strict=True):
            signal.signal(number, handler)
