"""What the fleet has taught of parts yet to come, as budget and comparison take it."""

from dataclasses import replace
from math import sqrt

from fleet.platform.database.tenancy import Scope
from inspections.decisions.records import ClassLearnt, Learnt
from inspections.forecasts import knowledge, series
from inspections.models import ForecastScore


def of_fleet(*, scope: Scope) -> Learnt:
    """Return what was learnt of each class of wear.

    A new part has the machine of the one that runs now: its rate differs by what
    installations and places differ. Of a count no spread is taken from what was learnt.
    """
    known, _ = knowledge.latest(scope=scope)
    rows = (
        ForecastScore.objects.within(scope)
        .order_by("class_name", "-scored_on")
        .distinct("class_name")
    )
    scores = {row.class_name: row for row in rows}
    found = {}
    for number, name in enumerate(series.CLASSES):
        wear = known.wear
        spread = sqrt(
            float(wear.installation_sd[number] ** 2 + wear.series_sd[number] ** 2)
        )
        found[name] = ClassLearnt(
            curvature=float(wear.curvature[number]),
            rate_spread=spread,
            machines=int(wear.machines[number]),
        )
    for name, count in known.broken.items():
        found[name] = ClassLearnt(exponent=count.exponent)
    for name, row in scores.items():
        found[name] = replace(
            found.get(name, ClassLearnt()),
            within=row.shared_on_machine,
            pairs=row.pairs,
            between=row.shared_in_class,
            periods=row.periods,
        )
    return Learnt(classes=found)
