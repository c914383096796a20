"""One finding worked out: value, limit, margin, formula, numbers, readings, source."""

from collections.abc import Mapping, Sequence

from django.http import Http404, HttpRequest, HttpResponse

from fleet.platform.visibility.acts import READ_AS_OFFICE
from fleet.platform.visibility.asking import may
from fleet.register import people
from inspections import worked
from inspections.models import Finding, Reading
from inspections.pages.base import VerdictPage

_MOST_READINGS = 200


class FindingPage(VerdictPage):
    """A finding opened down to the readings that it rests on."""

    template_name = "inspections/pages/finding.html"

    def get(self, request: HttpRequest, pk: int) -> HttpResponse:
        """Show how the value came about, and what it is held against."""
        rows = Finding.objects.within(self.scope).select_related(
            "machine", "assessment", "groove", "rope"
        )
        finding = rows.filter(pk=pk).first()
        if finding is None:
            raise Http404
        readings = self._readings(finding)
        return self.answer(
            context={
                "finding": finding,
                "worked": worked.of_finding(finding),
                "readings": readings,
                "names": self._names(readings),
                "more": len(finding.readings) > len(readings),
            }
        )

    def _readings(self, finding: Finding) -> Sequence[Reading]:
        rows = Reading.objects.within(self.scope).filter(pk__in=finding.readings)
        related = rows.select_related("groove", "rope", "gauge", "visit")
        found = related.order_by("-taken_at", "pk")[:_MOST_READINGS]
        return sorted(found, key=_by_kind_and_place)

    def _names(self, readings: Sequence[Reading]) -> Mapping[int, str]:
        """Return who took each reading, for the office alone."""
        if not may(READ_AS_OFFICE, scope=self.scope):
            return {}
        by_member = people.names_of(
            scope=self.scope, ids={reading.visit.membership_id for reading in readings}
        )
        return {
            reading.pk: by_member.get(reading.visit.membership_id, "")
            for reading in readings
        }


def _by_kind_and_place(reading: Reading) -> tuple[str, int, int, str]:
    return (
        reading.kind,
        reading.groove.number if reading.groove is not None else 0,
        reading.rope.number if reading.rope is not None else 0,
        str(sorted(reading.place.items())),
    )
