"""A thousand machines, always the same: every form, family, roping, completeness.

Read by the code of today and by that of an earlier commit; it asks of either only for
`tests.inspections.assessment.snapshots`.
"""

from collections.abc import Iterator
from datetime import date
from random import Random
from typing import Any

from tests.inspections.assessment import snapshots
from tests.inspections.assessment.snapshots import Taken, take

COUNT = 1000
SETS = (
    "EN_81_20",
    "EN_81_1_1998",
    "EN_81_1_1985",
    "ASME_A17_1",
    "ASME_A17_6",
    "TSG_T7001",
    "GB_T_31821",
    "MLIT_283",
    "WAC_296_155",
    "CFR_30_56",
    "ISO_4309",
    "JAPAN_HOIST_40",
)
FORMS = (snapshots.UNDERCUT, snapshots.V, snapshots.ROUND)
ROPINGS = (1, 2, 4)
YEARS = tuple(date(year, 5, 4) for year in range(2021, 2027))
# What a register may lack; the others are never empty.
MAY_LACK = {
    "machine": (
        "car_mass_kg",
        "rated_load_kg",
        "balance_ratio",
        "rated_speed_m_s",
        "travel_m",
        "wrap_angle_deg",
        "compensation_mass_kg_m",
    ),
    "rope_set": ("outer_grade_mpa", "inner_grade_mpa", "modulus_mpa"),
    "geometry": ("bottom_clearance_new_mm", "hardened_depth_mm"),
}


def cases() -> Iterator[Any]:
    """Yield the snapshots, each by its number alone."""
    for number in range(COUNT):
        yield case(number)


def case(number: int) -> Any:
    """Return one machine; form, set and roping go round, the rest is drawn."""
    draw = Random(number)
    form = dict(FORMS[number % len(FORMS)])
    ropes = draw.choice((3, 4, 5, 6))
    double = form["form"] == "ROUND" and draw.random() < 0.3
    # Every twentieth has never been read.
    kept = draw.random() if number % 20 else 0.0
    machine = {
        "roping_ratio": ROPINGS[number // len(FORMS) % len(ROPINGS)],
        "drive_kind": draw.choice(("GEARED", "GEARLESS")),
        "car_mass_kg": draw.uniform(600.0, 2400.0),
        "rated_load_kg": draw.choice((450.0, 630.0, 1000.0, 1600.0)),
        "balance_ratio": draw.choice((0.40, 0.45, 0.50)),
        "rated_speed_m_s": draw.choice((0.63, 1.0, 1.6, 2.5)),
        "travel_m": draw.uniform(8.0, 80.0),
        "wrap_angle_deg": 320.0 if double else draw.uniform(135.0, 180.0),
        "compensation_mass_kg_m": draw.choice((0.0, 1.5)),
    }
    if double:
        machine["wrap"] = "DOUBLE"
    rope_set = {
        "ropes_count": ropes,
        "core": draw.choice(("FIBRE", "STEEL")),
        "strand_class": draw.choice(("6x19", "8x19", "9x19")),
    }
    form["hardened_depth_mm"] = draw.choice((0.0, 3.0, 5.0))
    for changed, name in ((machine, "machine"), (rope_set, "rope_set")):
        _take_out(changed, MAY_LACK[name], draw, share=1.0 - kept)
    _take_out(form, MAY_LACK["geometry"], draw, share=(1.0 - kept) / 2)
    return snapshots.snapshot(
        *_readings(draw, ropes=ropes, grooves=ropes * (2 if double else 1), kept=kept),
        geometry=form,
        machine=machine,
        rope_set=rope_set,
        sheave=draw.choice(
            (None, {"minimum_rim_mm": 15.0, "minimum_pitch_diameter_mm": 560.0})
        ),
        criteria_set=SETS[number // 9 % len(SETS)],
        overrides=(
            {"diameter_reduction_nominal": {"value": 4.0, "source": "own copy"}}
            if draw.random() < 0.1
            else None
        ),
        double=double,
    )


def _take_out(
    row: dict[str, Any], names: tuple[str, ...], draw: Random, *, share: float
) -> None:
    row |= {name: None for name in names if draw.random() < share / 3}


def _readings(
    draw: Random, *, ropes: int, grooves: int, kept: float
) -> Iterator[Taken]:
    clearance, diameter, breaks = 4.0, 13.0, 0
    for day in YEARS[draw.randrange(len(YEARS)) :] if kept else ():
        clearance -= draw.uniform(0.0, 0.9)
        diameter -= draw.uniform(0.0, 0.15)
        breaks += draw.randrange(4)
        how = {"on": day, "state": "UNCONFIRMED" if draw.random() < 0.1 else "STORED"}
        for number in range(1, grooves + 1):
            if draw.random() < kept:
                left_mm = max(round(clearance + draw.gauss(0.0, 0.1), 2), 0.0)
                yield take("bottom_clearance", left_mm, groove=number, **how)
        for number in range(1, ropes + 1):
            for way in ("1", "2"):
                if draw.random() < kept:
                    read_mm = round(diameter + draw.gauss(0.0, 0.03), 2)
                    place = {"rope": number, "direction": way}
                    yield take("rope_diameter", read_mm, **place, **how)
            if draw.random() < kept / 2:
                place = {"rope": number, "window": "lay"}
                yield take("breaks_total", float(breaks), **place, **how)
                yield take("breaks_worst_strand", breaks // 3, **place, **how)
        yield from _seldom(draw, ropes=ropes, how=how)


def _seldom(draw: Random, *, ropes: int, how: dict[str, Any]) -> Iterator[Taken]:
    """Yield what few visits read."""
    of_machine = {
        "cwt_runby": draw.uniform(20.0, 250.0),
        "car_runby": draw.uniform(20.0, 250.0),
        "travel_speed": draw.uniform(0.5, 2.6),
        "levelling_error": draw.uniform(-20.0, 20.0),
        "hardness": draw.uniform(150.0, 240.0),
        "underside_runout": draw.uniform(0.0, 3.0),
    }
    for kind, value in of_machine.items():
        if draw.random() < 0.3:
            yield take(kind, round(value, 2), **how)
    if draw.random() < 0.3:
        for where in ("bottom", "top"):
            for number in range(1, ropes + 1):
                pull_n = round(4000.0 + draw.gauss(0.0, 250.0))
                place = {"rope": number, "side": "car", "car_position": where}
                yield take("rope_tension", float(pull_n), **place, **how)
    if draw.random() < 0.2:
        place = {"groove": 1, "mark": "A"}
        yield take("rope_crown_height", draw.uniform(0.0, 3.0), **place, **how)
    if draw.random() < 0.1:
        yield take("rouge", word=draw.choice(("none", "trace", "heavy")), rope=1, **how)
    if draw.random() < 0.1:
        yield take("slip_seen", word=draw.choice(("yes", "no")), **how)
