"""What measuring first is worth, as documents say it: whether it pays, never how much.

An owner reads what work is expected to cost. What the office counts with, courses over
years among it, is its own at every door; only the words follow from it.
"""

from collections.abc import Iterator

from django.utils.translation import gettext as _

from inspections.decisions.records import WorthMeasuring
from inspections.reasons.serial import field_of
from reports import content
from reports.composition import reasons, words
from reports.composition.reader import Reader
from reports.queries import MachineRecord


def rows(facts: MachineRecord, *, reader: Reader) -> Iterator[content.Row]:
    """Yield whether it pays to know one thing before work is decided."""
    compared = facts.compared
    if compared is None or compared.measuring is None or not compared.currency:
        return
    worth = compared.measuring
    said = _(
        "%(what)s blurs a date most. To know it before work is decided, over %(years)s "
        "years and in money alone: %(pays)s."
    ) % {
        "what": reasons.name(field_of(worth.field), reader=reader),
        "years": round(compared.horizon_years),
        "pays": _pays(worth),
    }
    limits = _(
        "This puts off nothing that safety asks for; work is planned with a chance of "
        "at most 2 in 100 of coming too late, measured or not."
    )
    yield content.Row(
        label=_("What measuring first is worth"),
        value=f"{words.sentence(said)} {limits}",
    )


def _pays(worth: WorthMeasuring) -> str:
    if worth.saves <= 0:
        return _("expected to save nothing")
    if worth.costs is None:
        return _("expected to save something; what measuring costs is not estimated")
    if worth.saves > worth.costs:
        return _("expected to save more than measuring costs")
    return _("expected to save no more than measuring costs")
