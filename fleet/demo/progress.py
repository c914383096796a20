"""One line per step, with the seconds since the start."""

import sys
import time
from collections.abc import Callable
from typing import TextIO

EVERY_S = 5.0


class Progress:
    """Tells what is done as soon as it is done."""

    def __init__(
        self, *, stream: TextIO, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._stream = stream
        self._clock = clock
        self._began = clock()
        self._last = self._began

    def tell(self, text: str) -> None:
        """Write one line."""
        self._last = self._clock()
        self._stream.write(f"[{self._last - self._began:6.1f} s] {text}\n")
        self._stream.flush()

    def tell_now_and_then(self, text: str) -> None:
        """Write one line if none was written for a while."""
        if self._clock() - self._last >= EVERY_S:
            self.tell(text)

    def show(self, text: str) -> None:
        """Write text as it is."""
        self._stream.write(text + "\n")
        self._stream.flush()


def on_stdout() -> Progress:
    """Return a progress that writes to standard output."""
    return Progress(stream=sys.stdout)
