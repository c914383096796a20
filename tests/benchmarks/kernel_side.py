"""One side of `kernel_pairs`: the kernel of a tree, called again when it is asked to.

Run as a program: `python kernel_side.py ROOT MACHINES`. The code of ROOT stores
machines of the assessment's benchmark in a database of its own, judges them, and writes
down the calls to its kernel. Its first line is a fingerprint of all findings; then each
line that comes in is answered with the seconds that the process itself took for the
calls alone.
"""

import gc
import runpy
import sys
import time
from pathlib import Path
from typing import Any

OWN = Path(__file__).resolve().parents[2]


def answer(machines: int) -> dict[str, Any]:
    """Store and judge machines, then answer until nothing comes in any more."""
    from fleet.models import Machine
    from fleet.platform.database.tenancy import Scope, acting_for
    from inspections import inputs
    from inspections.assessment import assessing
    from inspections.engineering.validity import OutsideValidity
    from tests.benchmarks import assessed_fleet, assessment

    tell = runpy.run_path(str(OWN / "inspections/versions/values.py"))["fingerprint"]
    as_of = assessed_fleet.AS_OF
    scope = Scope(contractor_id=assessed_fleet.make(machines=machines).pk)
    with acting_for(contractor_id=scope.contractor_id):
        ids = list(Machine.objects.order_by("pk").values_list("pk", flat=True))
        snapshots = inputs.load(scope=scope, machine_ids=ids, as_of=as_of)
        found = [tell(assessing.judge(each), strict=True) for each in snapshots]
    recorded = assessment._kernel_calls(scope, ids, as_of)
    say(tell(found, strict=True))
    gc.collect()
    gc.freeze()
    for _ in sys.stdin:
        calls = assessment._as_first_asked(recorded)
        gc.collect()
        begun = time.process_time()
        for function, arguments in calls:
            try:
                given = function(**arguments)
                if hasattr(given, "__next__"):
                    tuple(given)
            except OutsideValidity:
                pass
        say(repr(time.process_time() - begun))
    return {}


def say(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.path[:1] = [str(Path(sys.argv[1]).resolve())]
    # The environment comes with it, before Django asks for its settings.
    from tests.benchmarks import assessment  # noqa: F401
    from tests.benchmarks import running as in_tree

    in_tree.in_database(lambda: answer(int(sys.argv[2])), tell=lambda _: None)
