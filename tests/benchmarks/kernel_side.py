"""One side of `kernel_pairs`: the kernel of a tree, called again when it is asked to.

Run as a program: `python kernel_side.py ROOT EVERY`. It takes every so many of the
frozen machines, judges them by the code of ROOT, and writes down the calls to the
kernel. Its first line is a fingerprint of all findings; then each line that comes in is
answered with the seconds that the process itself took for the calls alone.
"""

import gc
import runpy
import sys
import time
from importlib import import_module
from pathlib import Path
from typing import Any

OWN = Path(__file__).resolve().parents[2]


def run(own: Any, every: int) -> None:
    """Answer until nothing comes in any more; `own` is the tree's way to record."""
    from inspections.assessment import assessing, grading
    from inspections.engineering.validity import OutsideValidity

    tell = runpy.run_path(str(OWN / "inspections/versions/values.py"))["fingerprint"]
    cases = runpy.run_path(str(OWN / "tests/versions/cases.py"))

    def snapshots() -> list[Any]:
        return [cases["case"](at) for at in range(0, cases["COUNT"], every)]

    found = []
    for snapshot in snapshots():
        drafts, limits, shared = assessing.judge(snapshot)
        complete = not shared[assessing.CHECKS]["missed"]
        grade = grading.of_machine(drafts, complete=complete)
        found.append(tell((drafts, limits, shared, grade), strict=True))
    again = snapshots()
    with own.recording() as recorder:
        for snapshot in again:
            assessing.judge(snapshot)
    say(tell(found, strict=True))
    gc.collect()
    gc.freeze()
    for _ in sys.stdin:
        calls = own._as_first_asked(recorder.calls)
        gc.collect()
        begun = time.process_time()
        for function, arguments in calls:
            try:
                answer = function(**arguments)
                if hasattr(answer, "__next__"):
                    tuple(answer)
            except OutsideValidity:
                pass
        say(repr(time.process_time() - begun))


def say(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    root = Path(sys.argv[1]).resolve()
    sys.path[:1] = [str(root)]
    # The environment comes with it, before Django asks for its settings.
    from tests.benchmarks import assessment as recording

    import_module("django").setup()
    run(recording, int(sys.argv[2]))
