"""The head of every document: who, for whom, which period, which number."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from urllib.parse import urljoin
from zoneinfo import ZoneInfo

from django.conf import settings
from django.urls import reverse
from django.utils import translation
from django.utils.translation import gettext as _

from fleet.models import Building
from fleet.platform import zones
from inspections import versions as rooms
from reports import content
from reports.composition import calls, cautions
from reports.composition.reader import Reader
from reports.models import Report
from reports.queries import MachineRecord

CONTENT_VERSION = str(rooms.REPORTING)


def reader_of(report: Report, buildings: Sequence[Building]) -> Reader:
    """Return the reader of a report: its units, its language, the place's zone."""
    zone = buildings[0].time_zone if buildings else report.contractor.time_zone
    return Reader(
        family=report.unit_family,
        zone=ZoneInfo(zone if zones.is_known(zone) else "UTC"),
        language=report.language,
    )


def place_of_building(building: Building) -> content.Party:
    """Return a building as the place that a document is about."""
    lines = (building.address,) if building.address else ()
    return content.Party(name=building.name, lines=lines)


def masthead(
    report: Report,
    *,
    reader: Reader,
    issued_at: datetime,
    kind: str,
    title: str,
    place: content.Party,
    versions: Iterable[content.Row],
) -> content.Masthead:
    """Return the head of a document that is being made."""
    previous = report.supersedes
    owner = report.owner.name if report.owner else report.contractor.name
    return content.Masthead(
        kind=kind,
        title=title,
        number=report.number,
        revision=report.revision,
        supersedes=(
            _("%(number)s revision %(revision)s")
            % {"number": previous.number, "revision": previous.revision}
            if previous
            else None
        ),
        issued_at=issued_at.astimezone(reader.zone),
        issued=reader.day(issued_at),
        period=_("%(start)s to %(end)s")
        % {
            "start": reader.day(report.period_start),
            # The last day of the period, as people say it; the row has the day after.
            "end": reader.day(report.period_end - timedelta(days=1)),
        },
        contractor=content.Party(
            name=report.contractor.name, lines=calls.lines_of(report.contractor)
        ),
        owner=content.Party(
            name=owner, lines=calls.lines_of(report.owner) if report.owner else ()
        ),
        place=place,
        language=report.language,
        paper=content.PaperSize(report.paper),
        deferral=cautions.deferral(),
        released=_release_sentence(report),
        cautions=cautions.cautions(),
        versions=tuple(versions),
        address=_address(report),
    )


def _address(report: Report) -> str:
    """Return the address of a document's page, short enough to be typed."""
    if not settings.PUBLIC_URL:
        return ""
    whole = urljoin(settings.PUBLIC_URL, reverse("report", args=[report.pk]))
    return whole.partition("://")[2]


def released(
    draft: content.Content, *, report: Report, at: datetime
) -> content.Masthead:
    """Return a draft's head with the name of who released it, and the day."""
    zone = draft.masthead.issued_at.tzinfo
    with translation.override(report.language):
        reader = Reader(
            family=report.unit_family,
            zone=_zone_of(report),
            language=report.language,
        )
        return replace(
            draft.masthead,
            issued_at=at.astimezone(zone),
            issued=reader.day(at),
            released=_release_sentence(report),
        )


def versions(facts: Sequence[MachineRecord]) -> tuple[content.Row, ...]:
    """Return by which versions the findings and forecasts were worked out."""
    kernels = {f.assessment.kernel_version for f in facts if f.assessment}
    models = {forecast.model_version for f in facts for forecast in f.forecasts}
    return (
        content.Row(
            label=_("Calculation"),
            value=f"engineering {', '.join(sorted(kernels or {str(rooms.JUDGING)}))}",
        ),
        content.Row(
            label=_("Forecast model"),
            value=f"projection {', '.join(sorted(models or {str(rooms.FORECASTING)}))}",
        ),
        form_version(),
    )


def form_version() -> content.Row:
    """Return the version of the content's own form."""
    return content.Row(label=_("Content"), value=f"form {CONTENT_VERSION}")


def place_of(report: Report, buildings: Sequence[Building]) -> content.Party:
    """Return the building, or the owner's estate, with its addresses."""
    named = report.building or report.owner or report.contractor
    lines = [b.address or b.name for b in buildings]
    if len(lines) > _MOST_LINES:
        rest = len(lines) - _MOST_LINES
        lines = [
            *lines[:_MOST_LINES],
            _("and %(count)s more buildings") % {"count": rest},
        ]
    return content.Party(name=named.name, lines=tuple(lines))


_MOST_LINES = 6


def _zone_of(report: Report) -> ZoneInfo:
    zone = report.building.time_zone if report.building else ""
    return ZoneInfo(zone if zones.is_known(zone) else report.contractor.time_zone)


def _release_sentence(report: Report) -> str:
    named = {"contractor": report.contractor.name, "name": report.released_by_name}
    if report.released_at is not None:
        return _("Released by %(name)s of %(contractor)s (not an inspection).") % named
    if report.needs_release:
        return _("Draft: not released yet, not for passing on.")
    return _("Released by %(contractor)s (not an inspection).") % named
