"""The readings behind the findings: a table a kind, a line a place, a column a day."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date
from itertools import groupby

from django.utils.translation import gettext as _

from inspections.models import Gauge, Reading
from reports import content
from reports.composition import readings, words
from reports.composition.reader import Reader
from reports.queries import MachineRecord

# More columns than this would not be read on paper.
_MOST_DAYS = 5


def of_machine(
    facts: MachineRecord, *, reader: Reader, people: Mapping[int, str]
) -> tuple[dict[int, str], tuple[content.Table, ...]]:
    """Return labels of the readings behind the findings, and their tables.

    A label is the reading's id, which the API answers to. `people` are names of
    members by the id of their membership.
    """
    used = {pk for f in facts.findings for pk in f.readings}
    found = [facts.readings[pk] for pk in sorted(used) if pk in facts.readings]
    found.sort(key=lambda reading: (reading.kind, readings.place_order(reading)))
    tables: list[content.Table] = []
    for kind, members in groupby(found, key=lambda reading: reading.kind):
        code = facts.machine.code
        tables += _of_kind(
            kind, list(members), machine=code, reader=reader, people=people
        )
    return {reading.pk: readings.label(reading) for reading in found}, tuple(tables)


def members_of(facts: MachineRecord) -> set[int]:
    """Return the memberships of those who took the readings behind the findings."""
    used = {pk for f in facts.findings for pk in f.readings}
    return {
        facts.readings[pk].visit.membership_id for pk in used if pk in facts.readings
    }


def _of_kind(
    kind: str,
    members: Sequence[Reading],
    *,
    machine: str,
    reader: Reader,
    people: Mapping[int, str],
) -> Iterator[content.Table]:
    """Yield the tables of one kind; the latest days come last."""

    def day_of(reading: Reading) -> date:
        return reading.taken_at.astimezone(reader.zone).date()

    every = sorted(set(map(day_of, members)))
    for start in range(0, len(every), _MOST_DAYS):
        days = every[start : start + _MOST_DAYS]
        within = [reading for reading in members if day_of(reading) in days]
        cells: dict[str, dict[date, list[str]]] = {}
        for reading in within:
            line = cells.setdefault(readings.place_of(reading), {})
            line.setdefault(day_of(reading), []).append(readings.told(reading))
        yield content.Table(
            title=f"{machine}: {words.kind(kind)}",
            columns=(
                content.Column(heading=_("Where"), share=1.6),
                *(content.Column(heading=reader.day(day), share=1.0) for day in days),
            ),
            rows=tuple(
                (where, *("\n".join(line.get(day, ("–",))) for day in days))
                for where, line in cells.items()
            ),
            note=" ".join(
                (
                    _("Values and units as they were typed, not converted."),
                    *_taken(within, day_of=day_of, reader=reader, people=people),
                )
            ),
        )


def _taken(
    found: Sequence[Reading],
    *,
    day_of: Callable[[Reading], date],
    reader: Reader,
    people: Mapping[int, str],
) -> Iterator[str]:
    """Yield for each day who read with which gauge, and how far it can be trusted."""
    seen: dict[tuple[date, int, int | None], Gauge | None] = {}
    for reading in found:
        key = (day_of(reading), reading.visit.membership_id, reading.gauge_id)
        seen.setdefault(key, reading.gauge)
    for (day, member, _gauge_id), gauge in sorted(
        seen.items(), key=lambda item: (item[0][0], item[0][1], item[0][2] or 0)
    ):
        yield _("%(day)s: %(person)s, %(gauge)s.") % {
            "day": reader.day(day),
            "person": people.get(member, _("not known")),
            "gauge": _gauge(gauge, reader=reader),
        }


def _gauge(gauge: Gauge | None, *, reader: Reader) -> str:
    if gauge is None:
        return _("gauge not stated")
    parts = [str(gauge)]
    if gauge.calibration_due_on is None:
        parts.append(_("calibration not known"))
    else:
        due = {"day": reader.day(gauge.calibration_due_on)}
        parts.append(_("calibrated until %(day)s") % due)
    if gauge.repeatability_mm is not None:
        spread = reader.length(gauge.repeatability_mm, digits=3)
        parts.append(_("repeats within %(spread)s (1 sd)") % {"spread": spread})
    return ", ".join(parts)
