"""How far a second process helps on this machine, where processes share nothing."""

import subprocess
import sys

SECONDS = 5.0
LOOP = """
import sys, time
count, ends_at = 0, time.perf_counter() + float(sys.argv[1])
while time.perf_counter() < ends_at:
    sum(range(1000))
    count += 1
print(count)
"""


def gain() -> float:
    """Return the turns of two busy loops at once over those of one, in equal time."""
    [alone] = _turns(1)
    return sum(_turns(2)) / alone


def _turns(processes: int) -> list[int]:
    command = [sys.executable, "-c", LOOP, str(SECONDS)]
    running = [
        subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        for _ in range(processes)
    ]
    return [int(each.communicate()[0]) for each in running]
