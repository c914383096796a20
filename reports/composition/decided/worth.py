"""What measuring first is worth, as documents say it: money alone, never safety."""

from collections.abc import Iterator

from django.utils.translation import gettext as _

from inspections.reasons.serial import field_of
from reports import content
from reports.composition import reasons, words
from reports.composition.decided import money, spoken
from reports.composition.reader import Reader
from reports.queries import MachineRecord


def rows(facts: MachineRecord, *, reader: Reader) -> Iterator[content.Row]:
    """Yield what it is expected to save to know one thing before work is decided."""
    compared = facts.compared
    if compared is None or compared.measuring is None or not compared.currency:
        return
    worth, currency = compared.measuring, compared.currency
    what = reasons.name(field_of(worth.field), reader=reader)
    said = _(
        "%(what)s blurs a date most. Over %(years)s years it is expected to save "
        "%(saves)s to know it before work is decided, against %(choice)s as things "
        "stand (%(expected)s); %(costs)s."
    ) % {
        "what": what,
        "years": round(compared.horizon_years),
        "saves": money.amount(worth.saves, currency),
        "choice": spoken.kind(worth.choice, reader=reader),
        "expected": money.amount(worth.expected, currency),
        "costs": _costs(worth.costs, currency),
    }
    limits = _(
        "This counts money alone and puts off nothing that safety asks for; work is "
        "planned with a chance of at most 2 in 100 of coming too late, measured or not."
    )
    yield content.Row(
        label=_("What measuring first is worth"),
        value=f"{words.sentence(said)} {limits}",
    )


def _costs(costs: float | None, currency: str) -> str:
    if costs is None:
        return _("what measuring costs is not estimated")
    return _("measuring costs about %(costs)s") % {
        "costs": money.amount(costs, currency)
    }
