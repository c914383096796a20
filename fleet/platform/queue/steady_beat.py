"""Beat that goes on whatever the machine's clock does.

Celery's own scheduler waits until the wall clock says that a tick is due: where the
clock goes back by hours, it sends none for hours.
"""

import logging
import time
from typing import Any

from celery import beat

logger = logging.getLogger(__name__)

# What a clock may drift between two looks, which are 20 s apart at most.
MAY_DRIFT_S = 5.0


class SteadyScheduler(beat.Scheduler):
    """Begins its ticks anew where the wall clock and the steady one no longer agree."""

    _apart_s: float | None = None

    def tick(self, *arguments: Any, **named: Any) -> float:
        """Send what is due; return the seconds until the next look."""
        apart_s = time.time() - time.monotonic()
        if self._apart_s is not None and abs(apart_s - self._apart_s) > MAY_DRIFT_S:
            logger.warning("the clock was changed by %.0f s", apart_s - self._apart_s)
            now = self.app.now()
            for entry in self.schedule.values():
                entry.last_run_at = now
            self._heap = None
        self._apart_s = apart_s
        return float(super().tick(*arguments, **named))
