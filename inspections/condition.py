"""What is said of a machine today: its findings together with its forecasts."""

from collections.abc import Iterable
from datetime import date, timedelta

from django.db.models import Q, QuerySet

from inspections.models import Assessment, Forecast, ForecastState, Grade

# Work whose planning date lies this near is to be planned; our rule, no source.
PLAN_AHEAD = timedelta(days=730)


def grade_of(
    *, assessment: Assessment | None, forecasts: Iterable[Forecast], today: date
) -> str:
    """Return a machine's grade: its findings' own, raised by a limit that is near.

    A forecast never lowers a grade, and never says more than "plan work"; one without
    a reading of this machine's own says nothing of it.
    """
    grade = assessment.grade if assessment else Grade.NOT_ASSESSED
    if grade in (Grade.ACT_NOW, Grade.PLAN_WORK):
        return grade
    first = first_limit(f for f in forecasts if is_own(f))
    due = first.plan_before_on if first else None
    if due is not None and near_from(due) <= today:
        return Grade.PLAN_WORK
    return grade


def near_from(due: date) -> date:
    """Return the day from which work with that planning date is to be planned."""
    return due - PLAN_AHEAD


def is_own(forecast: Forecast) -> bool:
    """Return whether a forecast rests on a reading of this machine.

    How fast it wears may be known of other machines alone; how far it is worn is read.
    """
    return forecast.state != ForecastState.PRIOR_ONLY or forecast.level is not None


def near(rows: QuerySet[Forecast], *, today: date) -> QuerySet[Forecast]:
    """Return those of current forecasts that raise a grade, as `grade_of` does."""
    return may_raise(rows).filter(plan_before_on__lte=today + PLAN_AHEAD)


def may_raise(rows: QuerySet[Forecast]) -> QuerySet[Forecast]:
    """Return those of current forecasts that raise a grade on some day."""
    own = ~Q(state=ForecastState.PRIOR_ONLY) | Q(level__isnull=False)
    return rows.filter(own, plan_before_on__isnull=False).exclude(
        state=ForecastState.BEYOND
    )


def first_limit(forecasts: Iterable[Forecast]) -> Forecast | None:
    """Return the forecast whose planning date comes first."""
    dated = [
        f
        for f in forecasts
        if f.plan_before_on is not None and f.state != ForecastState.BEYOND
    ]
    return min(dated, key=lambda f: f.plan_before_on or date.max) if dated else None


def next_visit(forecasts: Iterable[Forecast]) -> date | None:
    """Return when the machine is due by its usual gap between visits."""
    return min((f.next_visit_on for f in forecasts if f.next_visit_on), default=None)


def visit_before(forecasts: Iterable[Forecast]) -> date | None:
    """Return the day before which the next visit should come, if it should be early.

    The chance of meeting a safety limit before the usual visit is above 1 % then, or
    above what the contractor has set lower: our rule, no source.
    """
    return min(
        (f.visit_before_on for f in forecasts if f.visit_before_on), default=None
    )
