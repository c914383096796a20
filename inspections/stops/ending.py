"""What ends a stop, in words."""

from django.utils.translation import gettext

from fleet.register.choices import WorkKind
from inspections.kinds import KINDS
from inspections.models import Stop
from inspections.stops import causes


def ended_by(stop: Stop) -> str:
    """Return what ends a stop: work, a reading as left, acceptance."""
    rule = causes.RULES[stop.cause]
    names = dict(WorkKind.choices)
    done = ", ".join(gettext(str(names[each])) for each in rule.works)
    read = [gettext(KINDS[code].name) for code in rule.reads if code in KINDS]
    text = gettext(
        "one of these works: {works}; then read as left: {reads}; then acceptance by a "
        "competent person who did not do the work"
    )
    reads = ", ".join(read) or gettext("a reading as left")
    return text.format(works=done, reads=reads)
