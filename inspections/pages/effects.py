"""How gauges and people read against each other, in words."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

from django.utils.translation import gettext

from fleet.models import Membership
from fleet.platform import naming
from fleet.platform.database.tenancy import Scope
from inspections.forecasts.readers import ReaderEffect


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidOfReader:
    """What is said of a gauge's or a person's readings of one quantity."""

    words: str
    off: bool
    size_mm: float
    name: str = ""


def of_gauges(effects: Sequence[ReaderEffect]) -> dict[int, list[SaidOfReader]]:
    """Return what is said of each gauge by its id."""
    found: dict[int, list[SaidOfReader]] = defaultdict(list)
    for each in effects:
        if each.gauge:
            found[each.gauge].append(_told(each))
    return found


def of_people(scope: Scope, effects: Sequence[ReaderEffect]) -> list[SaidOfReader]:
    """Return what is said of people who read off the others."""
    off = [each for each in effects if each.person and each.off]
    names = {
        row.pk: naming.called(row.person)
        for row in Membership.objects.within(scope)
        .filter(pk__in=[each.person for each in off])
        .select_related("person")
    }
    return [replace(_told(each), name=names.get(each.person, "–")) for each in off]


def _told(each: ReaderEffect) -> SaidOfReader:
    return SaidOfReader(words=_words(each), off=each.off, size_mm=abs(each.mm))


def _words(each: ReaderEffect) -> str:
    values = {
        "quantity": gettext(each.quantity),
        "places": each.places,
    }
    if not each.places:
        said = gettext("%(quantity)s: not told from its places, nobody else reads them")
    elif not each.off:
        said = gettext("%(quantity)s: not off the others at %(places)d places")
    elif each.mm < 0:
        said = gettext(
            "%(quantity)s: shows too little wear at %(places)d places others read too"
        )
    else:
        said = gettext(
            "%(quantity)s: shows too much wear at %(places)d places others read too"
        )
    if each.checked:
        said = gettext("since its check, %(said)s") % {"said": said}
    return said % values
