"""PostgreSQL as broker by Kombu's own transport, without waits between two tasks.

A worker takes no more messages than it has processes. While all of them are busy Kombu
looks again after its polling interval: as long as a task itself takes. A worker that is
full asks the database nothing, so here it looks for room every few milliseconds.
"""

from collections.abc import Callable
from time import monotonic, sleep
from typing import Any

from kombu.transport import pgmq

LOOK_EVERY_S = 0.005


class Channel(pgmq.Channel):
    """A channel that notices at once when one of its tasks has ended."""

    def drain_events(
        self,
        timeout: float | None = None,
        callback: Callable[..., None] | None = None,
        **more: Any,
    ) -> None:
        """Deliver messages; raises Empty where there is none, or no room in time."""
        if self._consumers:
            self._wait_for_room()
        super().drain_events(  # type: ignore[no-untyped-call]
            timeout=timeout, callback=callback, **more
        )

    def _wait_for_room(self) -> None:
        """Wait while the worker is full, as long as Kombu would have slept."""
        ends_at = monotonic() + (self.connection.polling_interval or 0.0)
        while not self.qos.can_consume() and monotonic() < ends_at:
            sleep(LOOK_EVERY_S)


class Transport(pgmq.Transport):
    """Kombu's transport with such channels."""

    Channel = Channel
