"""How long from rows to stored findings? ``python -m tests.benchmarks.assessment``

The yardstick is the kernel itself: every call that an assessment makes to it is
written down, with the records it was given, and made again with nothing round it.
Run from the project's folder; the embedded database of the tests is used.
"""

import argparse
import gc
import importlib
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import wraps
from types import FunctionType, ModuleType
from typing import Any

from tests import environment  # noqa: F401, RUF100  the environment comes first
from tests.benchmarks import kernel_pairs, running

# The whole ends within 5 minutes on a quiet machine, the quick way within one.
MACHINES, FEW = 1_000, 200
QUICK_MACHINES, QUICK_FEW = 150, 30
REPEATS = 3

# The kernel's packages as the application calls them.
KERNEL = (
    "blocks",
    "criteria",
    "cut",
    "discard",
    "groove",
    "pressure",
    "rim",
    "rope",
    "seat_depth",
    "slip",
    "suspension",
    "tension",
    "verdict",
    "wrap",
)

Call = tuple[Callable[..., Any], dict[str, Any]]


class Recorder:
    """Writes down the calls from the application to the kernel, outermost only."""

    def __init__(self) -> None:
        self.calls: list[Call] = []
        self._inside = False

    def wrap(self, function: Callable[..., Any]) -> Callable[..., Any]:
        @wraps(function)
        def recorded(**arguments: Any) -> Any:
            if self._inside:
                return function(**arguments)
            self.calls.append((function, arguments))
            self._inside = True
            try:
                return function(**arguments)
            finally:
                self._inside = False

        return recorded


def _functions(modules: list[ModuleType]) -> Iterator[tuple[ModuleType, str, Any]]:
    """Yield where the kernel's public functions are bound in some modules."""
    for module in modules:
        for name, found in vars(module).items():
            if (
                isinstance(found, FunctionType)
                and found.__module__.startswith("inspections.engineering")
                and not name.startswith("_")
            ):
                yield module, name, found


def application() -> list[ModuleType]:
    """Return the modules that call the kernel, and the kernel's own packages."""
    for name in ("inspections.assessment", "inspections.inputs"):
        importlib.import_module(name)
    kernel = [
        importlib.import_module(f"inspections.engineering.{name}") for name in KERNEL
    ]
    callers = [
        module
        for name, module in sys.modules.items()
        if name.startswith(("inspections.assessment", "inspections.inputs"))
    ]
    return [*kernel, *callers]


@contextmanager
def recording() -> Iterator[Recorder]:
    """Write down every call to the kernel made inside the block."""
    recorder = Recorder()
    places = list(_functions(application()))
    for module, name, function in places:
        setattr(module, name, recorder.wrap(function))
    try:
        yield recorder
    finally:
        for module, name, function in places:
            setattr(module, name, function)


def replayed_s(calls: list[Call]) -> float:
    """Return how long the kernel takes for the calls, nothing else [s]."""
    from inspections.engineering.validity import OutsideValidity

    calls = _as_first_asked(calls)
    gc.collect()
    begun = time.perf_counter()
    for function, arguments in calls:
        try:
            found = function(**arguments)
            if isinstance(found, Iterator):
                tuple(found)
        except OutsideValidity:
            pass
    return time.perf_counter() - begun


def _as_first_asked(calls: list[Call]) -> list[Call]:
    """Return the calls with what several of them share empty again.

    What was worked out while they were written down would be had for nothing.
    """
    from inspections.engineering.discard import LikeCounts
    from inspections.engineering.suspension import FactorCurves
    from inspections.engineering.traction_answer import AskedFriction, GrooveCorners

    shared = {FactorCurves, AskedFriction, GrooveCorners, LikeCounts}
    anew: dict[int, Any] = {}

    def empty(value: Any) -> Any:
        if type(value) not in shared:
            return value
        if id(value) not in anew:
            anew[id(value)] = value.anew()
        return anew[id(value)]

    return [
        (function, {name: empty(value) for name, value in arguments.items()})
        for function, arguments in calls
    ]


def measure(
    *, machines: int, few: int, since: str = kernel_pairs.SINCE
) -> running.Figures:
    """Return the figures: three runs over some machines, one over many.

    since : the commit whose kernel today's is held against
    """
    from django.db import transaction

    from fleet.models import Machine
    from fleet.platform.database.tenancy import Scope, acting_for, confine
    from fleet.project import garbage
    from inspections import assessment
    from inspections.models import Finding
    from tests.benchmarks import assessed_fleet

    contractor = assessed_fleet.make(machines=machines + few * REPEATS)
    scope = Scope(contractor_id=contractor.pk)
    running.tidy()
    # As workers have it; both sides alike.
    garbage.collect_seldom()

    def assessed_s(ids: list[int]) -> float:
        gc.collect()
        begun = time.perf_counter()
        with acting_for(contractor_id=contractor.pk):
            assessment.assess(scope=scope, machine_ids=ids, as_of=assessed_fleet.AS_OF)
        return time.perf_counter() - begun

    with transaction.atomic():
        confine(contractor_id=contractor.pk)
        ids = list(Machine.objects.order_by("pk").values_list("pk", flat=True))
    small = [assessed_s(ids[n * few : (n + 1) * few]) for n in range(REPEATS)]
    many = ids[few * REPEATS :]
    whole = assessed_s(many)
    calls = _kernel_calls(scope, many, assessed_fleet.AS_OF)
    kernel = replayed_s(calls)
    with acting_for(contractor_id=contractor.pk):
        findings = Finding.objects.filter(machine__in=many).count()
    return {
        "machines": len(many),
        "ropes": assessed_fleet.ROPES,
        "findings": findings,
        "kernel_calls": len(calls),
        "seconds": round(whole, 3),
        "kernel_seconds": round(kernel, 3),
        "ratio_to_kernel": round(whole / kernel, 3),
        "growth": round(whole / len(many) / (min(small) / few), 3),
        "machines_per_second": round(len(many) / whole, 1),
        **kernel_pairs.measure(since=since),
    }


def _kernel_calls(scope: Any, ids: list[int], as_of: Any) -> list[Call]:
    """Return the calls that judging the machines makes, in order."""
    from fleet.platform.database.tenancy import acting_for
    from inspections import inputs
    from inspections.assessment.assessing import judge

    with acting_for(contractor_id=scope.contractor_id), recording() as recorder:
        for snapshot in inputs.load(scope=scope, machine_ids=ids, as_of=as_of):
            judge(snapshot)
    return recorder.calls


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument("--machines", type=int, default=MACHINES)
    parser.add_argument("--few", type=int, default=FEW)
    parser.add_argument(
        "--since",
        default=kernel_pairs.SINCE,
        help="whose kernel today's is held against (kernel_speedup)",
    )
    parser.add_argument(
        "--quick", action="store_true", help="few machines: is it alive, no figure"
    )
    given = parser.parse_args()
    if given.quick:
        given.machines, given.few = QUICK_MACHINES, QUICK_FEW

    running.in_database(
        lambda: measure(machines=given.machines, few=given.few, since=given.since),
        tell=lambda figures: running.tell(figures, as_json=given.json, width=24),
    )


if __name__ == "__main__":
    main()
