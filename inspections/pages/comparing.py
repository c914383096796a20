"""What each option of a machine costs over years, measuring first among them."""

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from fleet.platform.visibility.acts import READ_AS_OFFICE
from inspections import wording
from inspections.decisions.records import (
    Comparison,
    FollowedOption,
    OptionKind,
    WorthMeasuring,
)
from inspections.pages.base import VerdictPage
from inspections.pages.items import said
from inspections.pages.trying import machine_of
from inspections.planning import comparing
from inspections.reasons.serial import field_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """One option in the table; `why_none` says what its cost lacks."""

    followed: FollowedOption
    is_cheapest: bool
    is_tied: bool
    why_none: list[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Measuring:
    """Measuring first as a course of its own, beside deciding as things stand.

    `left` is what is saved less what measuring costs, which may be below nothing;
    None where no cost of measuring is known. `expected` is the course's whole cost.
    """

    worth: WorthMeasuring
    what: str
    left: float | None
    expected: float | None

    @property
    def pays(self) -> bool:
        return self.left is not None and self.left > 0.0

    @property
    def beyond(self) -> float | None:
        """What measuring costs beyond what it is expected to save."""
        return None if self.left is None else max(-self.left, 0.0)


class ComparisonPage(VerdictPage):
    """Every option that can be taken over fifteen years, as drawn."""

    template_name = "inspections/pages/comparison.html"
    act = READ_AS_OFFICE

    def get(self, request: HttpRequest, pk: int) -> HttpResponse:
        """Show expected cost, days of standing and visits of each."""
        machine = machine_of(self, pk)
        compared = comparing.over_years(
            scope=self.scope,
            machine_id=pk,
            seed=comparing.SEED,
            horizon_years=comparing.YEARS,
            draws=comparing.DRAWS,
            now=timezone.now(),
        )
        return self.answer(
            context={"machine": machine} | _shown(compared.comparison),
        )


def _shown(found: Comparison) -> dict[str, Any]:
    return {
        "compared": found,
        "years": round(found.horizon_years),
        "courses": [_course(each, found) for each in found.courses],
        "measuring": measuring_of(found),
        "left_out": [
            (kind, wording.say(why))
            for kind, why in found.left_out
            if kind is not OptionKind.MEASURE_FIRST
        ],
        "doubts": [said(each.said) for each in found.doubts],
    }


def _course(followed: FollowedOption, found: Comparison) -> Course:
    return Course(
        followed=followed,
        is_cheapest=followed.kind is found.cheapest,
        is_tied=followed.kind in found.ties,
        why_none=[said(item) for item in followed.missing],
    )


def measuring_of(found: Comparison) -> Measuring | None:
    """Return what measuring first is worth, None where nothing blurs a date."""
    worth = found.measuring
    if worth is None:
        return None
    known = worth.costs is not None
    return Measuring(
        worth=worth,
        what=wording.name(field_of(worth.field)),
        left=worth.saves - worth.costs if worth.costs is not None else None,
        expected=worth.expected - worth.saves + (worth.costs or 0.0) if known else None,
    )
