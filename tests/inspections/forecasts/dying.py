"""A worker that dies at one step: ``python -m tests.inspections.forecasts.dying``.

Takes the step, the id of the job and the moment it is done at. The step is the name
of a function of a fleet's run; the worker is killed as soon as its first call has
returned, as by a signal from outside. ``HOLD`` instead waits before the commit until
it is let go.
"""

import importlib
import os
import signal
import sys
import time
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

# In the order of the run.
STEPS = (
    "scoring.score",
    "tracks.prepare",
    "results.begin",
    "loading.load",
    "computing.compute",
    "results.store",
    "projecting._finish",
)
HOLD = "HOLD"


def place(step: str) -> tuple[Any, str]:
    """Return the module and the name of a step's function."""
    module, name = step.split(".")
    return importlib.import_module(f"inspections.forecasts.{module}"), name


def die_after(step: str) -> None:
    """Kill this process when the step's first call has returned."""
    module, name = place(step)
    real: Callable[..., Any] = getattr(module, name)

    def dying(*arguments: Any, **named: Any) -> Any:
        real(*arguments, **named)
        os.kill(os.getpid(), signal.SIGKILL)

    setattr(module, name, dying)


def hold(at: Path) -> None:
    """Wait at the end of the run until the file is gone."""
    module, name = place(STEPS[-1])
    real = getattr(module, name)

    def held(*arguments: Any, **named: Any) -> Any:
        real(*arguments, **named)
        at.with_suffix(".reached").touch()
        while at.exists():
            time.sleep(0.05)

    setattr(module, name, held)


def main() -> None:
    step, job_id, moment = sys.argv[1:4]

    import django

    django.setup()
    from fleet.platform.queue import jobs
    from inspections import tasks

    if step == HOLD:
        hold(Path(sys.argv[4]))
    elif step:
        die_after(step)
    now = datetime.fromisoformat(moment)
    jobs.perform(job_id=int(job_id), activity=tasks._forecast_fleet, clock=lambda: now)


if __name__ == "__main__":
    main()
