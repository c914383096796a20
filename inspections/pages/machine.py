"""One machine: how it is, why, until when; and one reading of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone

from fleet.platform.visibility.acts import CHANGE, READ_AS_OFFICE, REPORT
from fleet.platform.visibility.asking import may
from fleet.register import people
from inspections import condition, overview
from inspections import page as pages
from inspections.models import Finding, Grade, Reading, ReadingReview
from inspections.pages import stops
from inspections.pages.base import VerdictPage
from inspections.pages.typed_on import phones_of

_GROUPS = (
    Grade.ACT_NOW,
    Grade.PLAN_WORK,
    Grade.NOT_ASSESSED,
    Grade.KEEP_AN_EYE_ON,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingGroup:
    """Findings that ask for the same."""

    grade: str
    findings: Sequence[Finding]


class MachinePage(VerdictPage):
    """Everything a person needs to see of one machine."""

    template_name = "inspections/pages/machine.html"

    def get(self, request: HttpRequest, pk: int) -> HttpResponse:
        """Show the machine as it is known now."""
        page = pages.page(scope=self.scope, machine_id=pk, as_of=timezone.now())
        found = page.assessment.grade if page.assessment else Grade.NOT_ASSESSED
        is_raised = page.grade != found
        return self.answer(
            context={
                **self.further(page),
                "page": page,
                "raised_by": condition.first_limit(
                    f for f in page.forecasts if is_raised and condition.is_own(f)
                ),
                "machine_state": overview.STOPPED if page.stops else page.grade,
                "tellings": self._tellings(page),
                "groups": list(_grouped(page.findings)),
                "may_act": may(REPORT, scope=self.scope),
                "may_change": may(CHANGE, scope=self.scope),
            }
        )

    def _tellings(self, page: pages.Page) -> Mapping[int, stops.StopTold]:
        """Return who was told of its stops, for the office alone."""
        if not may(READ_AS_OFFICE, scope=self.scope):
            return {}
        return stops.tellings(scope=self.scope, stops=page.stops)

    def further(self, page: pages.Page) -> dict[str, Any]:
        """Return what else the page shows; those above add to it."""
        return {}


class ReadingPage(VerdictPage):
    """A reading as it was typed, by whom and with which gauge."""

    template_name = "inspections/pages/reading.html"

    def get(self, request: HttpRequest, pk: int) -> HttpResponse:
        """Show the reading and what was said of it."""
        rows = Reading.objects.within(self.scope)
        reading = (
            rows.select_related("machine", "groove", "rope", "gauge", "visit", "upload")
            .filter(pk=pk)
            .first()
        )
        if reading is None:
            raise Http404
        reviews = ReadingReview.objects.within(self.scope).filter(reading=reading)
        shows_people = may(READ_AS_OFFICE, scope=self.scope)
        told = [reading] if shows_people else []
        phones = phones_of(scope=self.scope, readings=told)
        return self.answer(
            context={
                "reading": reading,
                "by": self._name(reading) if shows_people else "",
                "phone": phones.get(reading.pk, ""),
                "reviews": list(reviews.order_by("pk")) if shows_people else [],
                "may_move": may(REPORT, scope=self.scope),
            }
        )

    def _name(self, reading: Reading) -> str:
        member = reading.visit.membership_id
        return people.names_of(scope=self.scope, ids={member}).get(member, "")


def _grouped(findings: Sequence[Finding]) -> list[FindingGroup]:
    """Return the findings by what they ask for, the most urgent group first."""
    found = []
    for grade in _GROUPS:
        own = [row for row in findings if row.grade == grade]
        own.sort(key=lambda row: (-(row.chance_beyond or 0.0), row.pk))
        if own:
            found.append(FindingGroup(grade=grade.value, findings=own))
    return found
