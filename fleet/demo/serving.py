"""Keep serving until someone says stop; what dies meanwhile is started again."""

import time

from fleet.demo import database
from fleet.demo.client import Client
from fleet.demo.places import DemoPlaces
from fleet.demo.processes import Programs
from fleet.demo.progress import Progress

LOOK_EVERY_S = 2.0
READY = "/health/ready"
READY_WITHIN_S = 60.0
POLL_S = 0.1


def until_ready(*, programs: Programs, telling: Progress) -> bool:
    """Wait for the web server and the database behind it; return whether they answer.

    Raises DemoStopped if a program ends again and again.
    """
    deadline = time.monotonic() + READY_WITHIN_S
    while time.monotonic() < deadline:
        if is_ready(address=programs.address):
            return True
        look_after(programs=programs, telling=telling)
        time.sleep(POLL_S)
    return False


def until_interrupted(
    *, places: DemoPlaces, programs: Programs, telling: Progress
) -> None:
    """Serve until Ctrl-C. Raises DemoStopped if a program ends again and again."""
    try:
        while True:
            look_after(programs=programs, telling=telling)
            if not is_ready(address=programs.address) and database.start(places=places):
                telling.tell("the database had ended and was started again")
            time.sleep(LOOK_EVERY_S)
    except KeyboardInterrupt:
        telling.show("")


def look_after(*, programs: Programs, telling: Progress) -> None:
    """Start again what has died, and say so."""
    for sentence in programs.look_after():
        telling.tell(sentence)


def is_ready(*, address: str) -> bool:
    """Return whether the service says that it can work."""
    answer = Client(address=address).ask(READY)
    return answer is not None and answer.status == 200
