"""What only some lives read, each life one sort of it, and odd names of machines."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from random import Random

from tests.histories.lean import Lean
from tests.histories.steps import Row
from tests.histories.wear import Truth

ROPES = 2
MASSES = "masses"
NAMES = (
    "Lift 7",
    "\u0141\u00f3d\u017a, \u039a\u03c4\u03af\u03c1\u03b9\u03bf 4",
    "Aufzug \u201eS\u00fcd\u201c <b>&amp;</b>",
    "\u041b\u0438\u0444\u0442 \u2116 1",
    "  a  b  ",
    "'; DROP TABLE lift; --",
    "%s {0} {name} \\n",
)


def name_of(code: str) -> str:
    """Return the name that a life's machine goes under."""
    return Random(f"name {code}").choice(NAMES)


def sort_of(code: str) -> str:
    """Return what a life reads beside what all read."""
    return Random(f"further {code}").choice([*SORTS])


def read_by(code: str, *, ill: bool, lean: Lean) -> str:
    """Return what a life reads beside what all read; who is healthy has been tested."""
    if not ill:
        return "tests"
    return lean.reads or (sort_of(code) if lean.further else "")


def rows(name: str, read: Sequence[Row], truth: Truth, random: Random) -> list[Row]:
    """Return what is read beside a visit's rows, where nothing is wrong."""
    return SORTS[name](read, truth, random)


def _condition(read: Sequence[Row], truth: Truth, random: Random) -> list[Row]:
    kinds = ("rope_deformation", "wires_worn_or_rusted", "twist")
    return [
        Row(slot=0, kind=kind, rope=n, word="none")
        for n in range(1, ROPES + 1)
        for kind in kinds
    ]


def _strands(read: Sequence[Row], truth: Truth, random: Random) -> list[Row]:
    found = []
    for row in read:
        if row.kind == "breaks_total" and (row.rope or 0) <= ROPES:
            most = min(row.value or 0.0, 2.0)
            found += [
                replace(row, kind="breaks_two_worst_strands", value=most),
                Row(
                    slot=0,
                    kind="breaks_distribution",
                    rope=row.rope,
                    place=row.place,
                    word="even",
                ),
            ]
    return found


def _tests(read: Sequence[Row], truth: Truth, random: Random) -> list[Row]:
    runs = (
        ("125 % static", {"load_kg": 600.0, "slid_mm": 0.0}),
        ("empty car up", {"load_kg": 0.0, "speed_m_s": 1.0, "stopping_mm": 800.0}),
        ("loaded car down", {"load_kg": 500.0, "speed_m_s": 1.0, "stopping_mm": 800.0}),
    )
    return [
        *(
            Row(
                slot=0,
                kind="traction_test",
                place=tuple(sorted({"case": case, **how}.items())),
                word="held",
            )
            for case, how in runs
        ),
        Row(
            slot=0,
            kind="travel_speed",
            value=random.uniform(0.97, 1.0),
            unit="m/s",
        ),
        Row(slot=0, kind="car_runby", value=300.0 + random.uniform(0.0, 20.0)),
    ]


def _turned(read: Sequence[Row], truth: Truth, random: Random) -> list[Row]:
    return [
        *(
            Row(
                slot=0,
                kind="hardness",
                place=(("mark", mark),),
                value=random.uniform(218.0, 222.0),
                unit="HB",
            )
            for mark in ("A", "B")
        ),
        *(
            Row(slot=0, kind=kind, groove=n, value=random.uniform(0.0, 0.05))
            for n in range(1, ROPES + 1)
            for kind in ("rope_crown_step", "seat_runout")
        ),
    ]


def _waves(read: Sequence[Row], truth: Truth, random: Random) -> list[Row]:
    return _hung("wave_time", 20.0, "s", truth, random)


def _springs(read: Sequence[Row], truth: Truth, random: Random) -> list[Row]:
    return _hung("spring_length", 80.0, "mm", truth, random)


def _hung(
    kind: str, value: float, unit: str, truth: Truth, random: Random
) -> list[Row]:
    return [
        Row(
            slot=0,
            kind=kind,
            rope=n,
            place=(("car_position", "bottom"), ("side", "car")),
            value=value * random.uniform(0.995, 1.005),
            unit=unit,
        )
        for n in range(1, truth.sort.ropes + 1)
    ]


def _masses(read: Sequence[Row], truth: Truth, random: Random) -> list[Row]:
    return [
        Row(slot=0, kind="car_mass", value=truth.car_kg, unit="kg"),
        Row(slot=0, kind="balance_load", value=truth.balance, unit="1"),
    ]


SORTS: Mapping[str, Callable[[Sequence[Row], Truth, Random], list[Row]]] = {
    "condition": _condition,
    "strands": _strands,
    "tests": _tests,
    "turned": _turned,
    "waves": _waves,
    "springs": _springs,
    MASSES: _masses,
}
