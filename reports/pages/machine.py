"""The machine's page, with what documents draw and compare of it."""

from typing import Any
from zoneinfo import ZoneInfo

from django.utils import timezone
from django.utils.translation import get_language

from fleet.platform.visibility.acts import READ_AS_OFFICE
from fleet.platform.visibility.asking import may
from inspections import history
from inspections.history import Event
from inspections.models import VisitPhoto
from inspections.page import Page
from inspections.pages.machine import MachinePage
from reports import content, drawings, queries
from reports.composition import checks
from reports.composition import machine as composed
from reports.composition.reader import Reader
from reports.composition.wording import wording
from reports.models import Report, ReportState

_MOST_PHOTOS, _MOST_REPORTS = 12, 30


class WholeMachinePage(MachinePage):
    """How it is, why, until when, what then, and what was."""

    template_name = "reports/pages/machine.html"

    def further(self, page: Page) -> dict[str, Any]:
        """Return figures, options, history and photos."""
        reader = Reader(
            family=self.preferences.family,
            zone=ZoneInfo(page.machine.building.time_zone),
            language=get_language() or "en",
        )
        now = timezone.now()
        facts = queries.facts_of_machine(
            scope=self.scope, machine_id=page.machine.pk, as_of=now
        )
        today = now.astimezone(reader.zone).date()
        pages = composed.pages(
            facts, reader=reader, today=today, people={}, sources=checks.Sources()
        )
        photos = VisitPhoto.objects.within(self.scope).filter(machine=page.machine)
        return {
            "figures": [
                _figure(each) for each in drawings.of_machine(pages, wording())
            ],
            "pages": pages,
            "length_digits": 2 if self.preferences.is_metric else 3,
            "planned": facts.planned,
            **self._past(page),
            "photos": list(
                photos.select_related("visit").order_by("-visit__visited_at", "-pk")[
                    :_MOST_PHOTOS
                ]
            ),
            "may_compare": may(READ_AS_OFFICE, scope=self.scope),
            "quiet": [f for f in facts.findings if f.grade == "IN_ORDER"],
        }

    def _past(self, page: Page) -> dict[str, Any]:
        """Return what happened, and since when the machine is as it is."""
        events = self._events(page)
        since = [event.at for event in events if event.kind == "STATE"][:1]
        since = [stop.since for stop in page.stops] or since
        return {"events": events, "since": min(since, default=None)}

    def _events(self, page: Page) -> list[Event]:
        rows = Report.objects.within(self.scope).filter(machine=page.machine)
        issued = rows.filter(state=ReportState.PUBLISHED).defer("content")
        found = history.of_machine(scope=self.scope, machine=page.machine)
        found += [
            Event(at=row.issued_at, kind="REPORT", row=row)
            for row in issued.order_by("-pk")[:_MOST_REPORTS]
            if row.issued_at is not None
        ]
        return history.in_order(found)


def _figure(named: drawings.Named) -> dict[str, Any]:
    figure = named.figure
    return {
        "svg": drawings.inline(named),
        "title": named.title,
        "description": named.description,
        "caption": figure.caption,
        "curve": figure if isinstance(figure, content.WearCurve) else None,
    }
