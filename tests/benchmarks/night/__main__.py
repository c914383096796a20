"""What does a night take? ``python -m tests.benchmarks.night --json --folder FOLDER``

Nights of 1,000, 5,000 and 20,000 machines of many contractors, three visits each: every
machine assessed, forecast and given its options, reports that are due made; each night
by one worker process and by two, one of which is killed on the way. Database, beat and
worker are processes of their own.

A call works for so many minutes and says what comes ``next``; call it again until it
tells figures. All figures of time need a quiet machine. ``--quick`` plays 40 and 120
machines, in about a minute each; its ``growth`` is that of starting up.

Told are for each night the milliseconds a machine, the wait of the smallest and of the
largest contractor until their last machine was looked at, memory of the larger worker
process early and late, what was ``lost`` and ``doubled``; over all ``growth`` of the
time a machine from the smallest to the largest night, and ``two_to_one``: how far a
second process helps, over how far it helps two loops that do nothing else.
"""

import argparse
import json
import signal
import sys
import time
from pathlib import Path

from tests import environment  # noqa: F401, RUF100  the environment comes first
from tests.benchmarks.night import busy
from tests.benchmarks.night.playing import Night, PartOver
from tests.benchmarks.running import Figures

MACHINES = (1_000, 5_000, 20_000)
QUICK = (40, 120)
PROCESSES = (1, 2)
MINUTES = 9.0
BUSY = "busy.json"


def measure(given: argparse.Namespace) -> Figures:
    """Play on where the last call ended; return figures, or what comes next."""
    given.folder.mkdir(exist_ok=True)
    # The embedded server of root runs as another user, who must get in.
    given.folder.chmod(0o711)
    ends_at = time.monotonic() + given.minutes * 60
    nights = []
    for machines in given.machines:
        for processes in given.processes:
            night = Night(
                folder=given.folder.resolve() / f"{machines}-{processes}",
                machines=machines,
                processes=processes,
            )
            try:
                nights.append(night.play(ends_at=ends_at))
            except PartOver:
                return {"next": f"{machines} machines, {processes}", **night.so_far()}
    return _told(nights, gain=_gain(given.folder / BUSY))


def _gain(kept: Path) -> float:
    """Return how far a second busy loop helps here, measured once."""
    if not kept.exists():
        kept.write_text(json.dumps(busy.gain()))
    return float(json.loads(kept.read_text()))


def _told(nights: list[Figures], *, gain: float) -> Figures:
    """Return the figures over all nights, and those of each."""
    by_size = {(each["machines"], each["processes"]): each for each in nights}
    alone = [each for each in nights if each["processes"] == PROCESSES[0]]
    figures: Figures = {
        "nights": nights,
        "lost": sum(each["lost"] for each in nights),
        "doubled": sum(each["doubled"] for each in nights),
        "killed": sum(each["killed"] for each in nights),
        "memory_growth": max(each["memory_growth"] for each in nights),
        "gain_of_busy_loops": round(gain, 3),
    }
    if len(alone) > 1:
        first, last = alone[0], alone[-1]
        figures["growth"] = round(last["ms_per_machine"] / first["ms_per_machine"], 3)
    pairs = {
        size: by_size[size, 1]["seconds"] / by_size[size, 2]["seconds"]
        for size, processes in by_size
        if processes == 1 and (size, 2) in by_size
    }
    figures["two_to_one"] = {
        str(size): round(helped / gain, 3) for size, helped in pairs.items()
    }
    return figures


def main() -> int:
    """Tell the figures; fail where anything was lost or done twice."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--folder", type=Path, required=True, help="kept between calls")
    parser.add_argument("--machines", type=int, nargs="+", default=MACHINES)
    parser.add_argument("--processes", type=int, nargs="+", default=PROCESSES)
    parser.add_argument("--minutes", type=float, default=MINUTES, help="of this call")
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--json", action="store_true", help="on one line")
    given = parser.parse_args()
    if given.quick:
        given.machines = QUICK
    # Whoever ends it before its time leaves no servers running.
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))
    figures = measure(given)
    print(json.dumps(figures, indent=None if given.json else 1))
    return 1 if figures.get("lost") or figures.get("doubled") else 0


if __name__ == "__main__":
    sys.exit(main())
