"""Who read with which gauge, and how far it can be trusted."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from django.utils.translation import gettext as _

from inspections.models import Gauge, Reading
from reports.composition import readings
from reports.composition.reader import Reader


def usual(found: Sequence[Reading]) -> int | None:
    """Return the member who took most of the readings; None for none."""
    members = Counter(reading.visit.membership_id for reading in found)
    return max(members, key=lambda pk: (members[pk], -pk)) if members else None


def said_once(usual: int, *, people: Mapping[int, str]) -> str:
    """Return what holds for all tables of a machine where they say nothing else."""
    return _(
        "Where nothing else is said of a table of this machine, %(person)s read it, "
        "without a gauge being stated. Earlier readings stand on the machine's page "
        "and in its CSV file."
    ) % {"person": people.get(usual, _("not known"))}


def taken(
    found: Sequence[Reading],
    *,
    reader: Reader,
    people: Mapping[int, str],
    usual: int | None,
) -> Iterator[str]:
    """Yield who read with which gauge on which days, and how far it can be trusted.

    What holds for all tables of the machine is not said again.
    """
    seen: dict[tuple[int, int | None], tuple[Gauge | None, set[date]]] = {}
    for reading in found:
        key = (reading.visit.membership_id, reading.gauge_id)
        days = seen.setdefault(key, (reading.gauge, set()))[1]
        days.add(readings.day_of(reading, reader))
    every = {readings.day_of(reading, reader) for reading in found}
    for (member, _gauge_id), (gauge, days) in sorted(
        seen.items(), key=lambda item: (item[0][0], item[0][1] or 0)
    ):
        said = {
            "person": people.get(member, _("not known")),
            "gauge": _gauge(gauge, reader=reader),
            "days": ", ".join(map(reader.day, sorted(days))),
        }
        if days == every and member == usual:
            # Said once for the machine.
            if gauge is not None:
                yield _("Read with %(gauge)s.") % said
        elif days == every:
            yield _("Read by %(person)s, %(gauge)s.") % said
        else:
            yield _("%(days)s: %(person)s, %(gauge)s.") % said


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
