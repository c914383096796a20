"""How forecasts have held: readings and dates against what was forecast."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext

from fleet.platform.visibility.acts import READ_AS_OFFICE
from inspections.forecasts import knowledge
from inspections.models import ForecastScore
from inspections.pages.base import VerdictPage

# The picture: a bar for each tenth, in its whole units from the upper left corner.
WIDTH, HEIGHT = 240, 80
# So many times the even share fill the picture.
_FULL = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Tenth:
    """The bar of a tenth: readings in it, drawn as high as their share."""

    x: int
    y: int
    width: int
    height: int
    readings: int
    above: int
    below: int


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldClass:
    """A class with its score of the last night; `even` is where bars should end."""

    name: str
    score: ForecastScore
    tenths: list[Tenth]
    even: int
    not_fitted: bool


class ForecastsHeld(VerdictPage):
    """Each class: where readings fell, how often dates came true, the factor."""

    template_name = "inspections/pages/forecasts_held.html"
    act = READ_AS_OFFICE

    def get(self, request: HttpRequest) -> HttpResponse:
        """Show the newest score of each class."""
        rows = (
            ForecastScore.objects.within(self.scope)
            .order_by("class_name", "-scored_on")
            .distinct("class_name")
        )
        known, learnt = knowledge.latest(scope=self.scope)
        classes = [
            HeldClass(
                name=gettext(row.class_name),
                score=row,
                tenths=_tenths(row.chances),
                even=round(HEIGHT * (1.0 - 1.0 / _FULL)),
                not_fitted=row.class_name in known.not_fitted,
            )
            for row in rows
        ]
        scored = {row.score.class_name for row in classes}
        return self.answer(
            context={
                "classes": classes,
                "learnt": learnt,
                "not_fitted": sorted(
                    gettext(name) for name in known.not_fitted - scored
                ),
                "width": WIDTH,
                "height": HEIGHT,
            }
        )


def _tenths(counts: list[int]) -> list[Tenth]:
    total, wide = max(sum(counts), 1), WIDTH // max(len(counts), 1)
    found = []
    for number, count in enumerate(counts):
        share = min(count / total * len(counts) / _FULL, 1.0)
        high = round(HEIGHT * share)
        found.append(
            Tenth(
                x=number * wide + 1,
                y=HEIGHT - high,
                width=wide - 2,
                height=high,
                readings=count,
                above=100 * number // len(counts),
                below=100 * (number + 1) // len(counts),
            )
        )
    return found
