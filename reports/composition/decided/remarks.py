"""What a person wrote of the last work of a kind: it decides nothing, and is read."""

from collections.abc import Iterable

from django.utils.translation import gettext as _

from fleet.models import Work
from inspections.planning import kinds
from reports.composition import words
from reports.composition.reader import Reader


def at_last(kind: str, works: Iterable[Work], *, reader: Reader) -> str:
    """Return the remark at the last work of an option's kind, with its day.

    "" where none was written. It may stand against doing the same again.
    """
    same = [work for work in works if work.kind == kinds.REPORTED_AS.get(kind)]
    if not same:
        return ""
    last = max(same, key=lambda work: (work.done_on, work.pk))
    remark = words.as_entered(last.note)
    if not remark:
        return ""
    return _("remark at the last one (%(day)s): “%(remark)s”") % {
        "day": reader.day(last.done_on),
        "remark": remark.rstrip("."),
    }
