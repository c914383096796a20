"""Everything that the rooms answer about the thousand machines, as fingerprints.

Run as a program with another tree's root first in the path, it asks that tree's code:
`python outputs.py ROOT ROOM ...`; the answer is JSON, room to fingerprints.
"""

import json
import runpy
import sys
from collections.abc import Sequence
from datetime import timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any

OWN = Path(__file__).resolve().parents[2]


def answers(rooms: Sequence[str]) -> dict[str, list[str]]:
    """Return a fingerprint of what each room says of each machine.

    Forecasts are made of all machines at once, as at night, and have one besides.
    """
    tell = runpy.run_path(str(OWN / "inspections/versions/values.py"))["fingerprint"]
    cases = runpy.run_path(str(OWN / "tests/versions/cases.py"))["cases"]
    judged = [_judged(snapshot) for snapshot in cases()]
    made: dict[str, list[str]] = {}
    if "judging" in rooms:
        made["judging"] = [
            tell((j.drafts, j.limits, j.shared, j.grade), strict=True) for j in judged
        ]
    if "forecasting" in rooms:
        series = [(at, one) for at, each in enumerate(judged) for one in each.series]
        made["forecasting"] = [
            *(tell(_plain(j.series), strict=True) for j in judged),
            tell(_forecast(series), strict=True),
        ]
    if "deciding" in rooms:
        made["deciding"] = [tell(_decided(j), strict=True) for j in judged]
    return made


def _judged(snapshot: Any) -> Any:
    """Return what is said of one machine up to its series."""
    from inspections.assessment import grading
    from inspections.assessment.assessing import CHECKS, judge
    from inspections.forecasts import breaks, pulleys, series
    from inspections.models import WearLimit

    drafts, limits, shared = judge(snapshot)
    rows = [
        WearLimit(**{name: getattr(limit, name) for name in limit.__dataclass_fields__})
        for limit in limits
    ]
    return SimpleNamespace(
        snapshot=snapshot,
        drafts=drafts,
        limits=limits,
        shared=shared,
        grade=grading.of_machine(drafts, complete=not shared[CHECKS]["missed"]),
        series=[
            *series.of_machine(snapshot, limits=rows),
            *pulleys.of_machine(snapshot, limits=rows),
            *breaks.of_machine(snapshot),
        ],
    )


def _plain(series: Sequence[Any]) -> Any:
    """Return series with the values of their limits, which are rows."""
    return [
        {
            name: getattr(one, name)
            for name in one.__dataclass_fields__
            if name != "limit"
        }
        | {"limit": one.limit and (one.limit.value, one.limit.sd, one.limit.reason)}
        for one in series
    ]


def _forecast(series: Sequence[tuple[int, Any]]) -> Any:
    """Return the forecasts of all series, each of which has its machine's number."""
    import numpy as np

    from inspections.forecasts import computing, knowledge, loading
    from tests.inspections.assessment.snapshots import AS_OF

    def order(numbered: tuple[int, Any]) -> tuple[int, int, Any]:
        number, one = numbered
        return number, loading.CLASSES.index(one.class_name), one.begun_on

    taken = sorted((x for x in series if x[1].class_name in loading.CLASSES), key=order)
    known = [one for _, one in taken]
    points = [(at, point) for at, one in enumerate(known) for point in one.points]
    limits = [(one.limit_level_mm, one.limit_sd_mm) for one in known]

    def array(values: Any, kind: Any = float) -> Any:
        return np.array(list(values), dtype=kind)

    def number(value: float | None) -> float:
        return float("nan") if value is None else value

    columns = {
        "id": np.arange(len(known)),
        "machine": array((number for number, _ in taken), int),
        "class_number": array(
            (loading.CLASSES.index(o.class_name) for o in known), int
        ),
        "begun": array(_seconds(one.begun_on) for one in known),
        "open": np.ones(len(known), dtype=bool),
        "safety": array((bool(o.limit and o.limit.safety) for o in known), bool),
        "tolerance": array(number(one.tolerance_mm) for one in known),
        "limit_level": array(number(level) for level, _ in limits),
        "limit_sd": array(sd for _, sd in limits),
        "layer": array(number(getattr(one, "layer_mm", None)) for one in known),
        "point_id": np.arange(len(points)),
        "track": array((at for at, _ in points), int),
        "visit": array((point.visit_id for _, point in points), int),
        "taken": array(point.taken_at.timestamp() for _, point in points),
        "level": array(point.level_mm for _, point in points),
        "sd": array(point.sd_mm for _, point in points),
        "confirmed": array((point.confirmed for _, point in points), bool),
        "at_least": array((getattr(p, "at_least", False) for _, p in points), bool),
        "counts_as": array(
            point.level_mm if left is None else left
            for _, point in points
            for left in [getattr(point, "counts_as_mm", None)]
        ),
        "deeper": np.zeros(len(points)),
        "doubt": np.zeros(len(points)),
    }
    # What an earlier version did not have yet, it is not given.
    fields = loading.Tracks.__dataclass_fields__
    tracks = loading.Tracks(**{n: v for n, v in columns.items() if n in fields})
    prior = knowledge.assumed()
    found = computing.compute(
        tracks=tracks,
        known=prior,
        counters=None,
        rule=computing.PlanningChances(),
        as_of=AS_OF,
    )
    return _arrays(found)


def _arrays(value: Any) -> Any:
    """Return records with arrays as plain lists."""
    import numpy as np

    if isinstance(value, np.ndarray | np.generic):
        return _arrays(value.tolist())
    if hasattr(value, "__dataclass_fields__"):
        return {n: _arrays(getattr(value, n)) for n in value.__dataclass_fields__}
    if isinstance(value, dict):
        return {str(key): _arrays(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [_arrays(each) for each in value]
    return value


def _seconds(day: Any) -> float:
    return (day.toordinal() - 719163) * 86400.0


def _decided(judged: Any) -> Any:
    """Return the options of one machine, with forecasts put in by rule."""
    from inspections.decisions import options, thresholds
    from inspections.decisions.records import LeadTimes, Rates
    from inspections.models import Assessment, Finding, Forecast, ForecastState
    from inspections.options import facts
    from inspections.options.loading import Judged
    from tests.inspections.assessment.snapshots import AS_OF, TODAY

    states = list(ForecastState.values)
    forecasts = [
        Forecast(
            quantity=one.quantity,
            place=one.place,
            class_name=one.class_name,
            state=states[at % len(states)],
            safety=bool(one.limit and one.limit.safety),
            level=one.points[-1].level_mm if one.points else None,
            limit=one.limit_level_mm,
            limit_sd=one.limit_sd_mm,
            rate_per_year=0.1,
            last_on=TODAY,
            p02_on=TODAY + timedelta(days=90 * at),
            p10_on=TODAY + timedelta(days=100 * at),
            p50_on=TODAY + timedelta(days=140 * at),
            p90_on=TODAY + timedelta(days=200 * at),
            plan_before_on=TODAY + timedelta(days=95 * at),
            chance_already=0.01,
        )
        for at, one in enumerate(judged.series)
    ]
    findings = []
    for draft in judged.drafts:
        row = {name: getattr(draft, name) for name in draft.__dataclass_fields__}
        if hasattr(draft.reason, "code"):
            from inspections.reasons import as_json

            row |= {"said": as_json(draft.reason), "reason": str(draft.reason)}
        names = {field.attname for field in Finding._meta.concrete_fields}
        findings.append(Finding(**{n: v for n, v in row.items() if n in names}))
    cases = [
        case
        for draft in judged.drafts
        if draft.topic == "traction"
        for case in draft.detail.get("cases") or ()
    ]
    known = facts.facts_of(
        snapshot=judged.snapshot,
        judged=Judged(
            assessment=Assessment(grade=judged.grade),
            findings=tuple(findings),
            forecasts=tuple(forecasts),
            cases=tuple(cases),
            **_stored(Judged, judged.shared),
        ),
    )
    return options.work_out(
        facts=known,
        rates=Rates(),
        lead_times=LeadTimes(),
        thresholds=thresholds.changed(changes={}),
        as_of=AS_OF.date(),
    )


def _stored(record: Any, shared: Any) -> dict[str, Any]:
    """Return what an assessment stores for decisions, as it is read back."""
    if "basis" not in record.__dataclass_fields__:
        return {}
    from inspections.assessment import basis

    return {"basis": basis.from_shared(json.loads(json.dumps(shared)))}


def main(root: str, *rooms: str) -> None:
    """Print the answers of the code under a root, of some rooms."""
    import os
    import tomllib

    sys.path[0] = root
    text = Path(root, "pyproject.toml").read_text(encoding="utf-8")
    pytest = tomllib.loads(text)["tool"]["pytest"]["ini_options"]
    os.environ["DJANGO_SETTINGS_MODULE"] = pytest["DJANGO_SETTINGS_MODULE"]
    os.environ.setdefault("SECRET_KEY", "only for comparing")

    import django

    django.setup()
    sys.stdout.write(json.dumps(answers(rooms)))


if __name__ == "__main__":
    main(*sys.argv[1:])
