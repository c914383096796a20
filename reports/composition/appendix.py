"""What stands at the end: criteria with sources, words, method."""

from collections.abc import Collection, Iterable

from django.utils.translation import gettext, gettext_noop, ngettext
from django.utils.translation import gettext as _

from fleet.models import RopeSet
from inspections.engineering import criteria
from inspections.engineering.criteria import CriteriaSet
from inspections.engineering.limit import Limit
from reports import content
from reports.composition.reader import Reader

_GLOSSARY = (
    (
        gettext_noop("Traction"),
        gettext_noop("the grip by which the drive sheave moves the ropes; friction."),
    ),
    (
        gettext_noop("Seat"),
        gettext_noop("the place in the groove that the rope has worn for itself."),
    ),
    (
        gettext_noop("Undercut"),
        gettext_noop("a slot below the seat that makes the rope grip more."),
    ),
    (
        gettext_noop("Bottoming"),
        gettext_noop("the rope reaching the bottom of its groove or slot."),
    ),
    (
        gettext_noop("Wrap"),
        gettext_noop("the angle over which the ropes lie on the sheave."),
    ),
    (
        gettext_noop("Stalled"),
        gettext_noop("car or counterweight has landed and the machine turns on."),
    ),
    (
        gettext_noop("Run-by"),
        gettext_noop("the way left before car or counterweight touches its buffer."),
    ),
    (
        gettext_noop("Rouge"),
        gettext_noop("red-brown powder from wires rubbing inside a rope."),
    ),
    (
        gettext_noop("Draft"),
        gettext_noop("the taper of a casting's underside, for drawing its pattern."),
    ),
    (
        gettext_noop("Regroove"),
        gettext_noop("turn all grooves to one depth below the deepest seat."),
    ),
    (
        gettext_noop("Margin"),
        gettext_noop("how far a value is from its limit; positive when good."),
    ),
    (
        gettext_noop("Criteria set"),
        gettext_noop("a named, dated list of limits chosen by the contractor."),
    ),
    (
        gettext_noop("Established, provisional"),
        gettext_noop(
            "how far a forecast rests on this place's own readings: established, "
            "mostly on them; provisional, still partly on other machines of its kind. "
            "Neither is a statement of safety."
        ),
    ),
    (
        gettext_noop("About 1 in 10"),
        gettext_noop("of ten machines like this, about one reaches the limit earlier."),
    ),
)

_METHOD = (
    (
        gettext_noop("Readings"),
        gettext_noop(
            "are kept as typed, with unit, place and time. Each seat depth comes from "
            "what was measured: clearance to the groove bottom, seat bands on the "
            "flanks, or crown height against one as new, with its uncertainty."
        ),
    ),
    (
        gettext_noop("Traction"),
        gettext_noop(
            "is worked out for the groove as worn from the arcs on which the rope "
            "lies, for every load case of the set, with one margin that is positive "
            "when good. Friction coefficients are conventions of the code; where a "
            "family of codes prints none the method is borrowed and a test on the "
            "machine decides."
        ),
    ),
    (
        gettext_noop("Forecast"),
        gettext_noop(
            "fits each place's own readings together with those of its "
            "neighbours, allows for gauge noise and changing use, and "
            "compares them with the limit and the limit's own uncertainty. "
            "Dates are shown as chances; no date is permission to wait."
        ),
    ),
    (
        gettext_noop("Grades"),
        gettext_noop(
            "are given by the rules of this program, at limits that the "
            "contractor has chosen: act now (beyond a limit of safety), "
            "plan work (beyond a limit at which work is planned, a margin "
            "that is not sure, or a date that is near), monitor (beyond a "
            "limit at which to watch), nothing found in the checks made, "
            "not known. A value that is beyond a limit at which to watch by less "
            "than its gauge can tell has no grade of its own; that is said beside it. "
            "No grade authorises operation."
        ),
    ),
)


def glossary() -> tuple[content.Row, ...]:
    """Return what the words of the trade mean."""
    return _rows(_GLOSSARY)


def method() -> tuple[content.Row, ...]:
    """Return how it is worked out, in a page."""
    return _rows(_METHOD)


def _rows(texts: Iterable[tuple[str, str]]) -> tuple[content.Row, ...]:
    return tuple(
        content.Row(label=gettext(label), value=gettext(value))
        for label, value in texts
    )


def criteria_sets(
    sets: Iterable[CriteriaSet], *, strands: Collection[int] = (), reader: Reader
) -> tuple[content.AppliedSet, ...]:
    """Return the sets that were applied, each limit with its source and status.

    Limits for ropes of so many strands stand there only for `strands` that some lift
    has; without any, all of them.
    """
    found = {one.code: one for one in sets}
    return tuple(
        _criteria_set(one, strands=strands, reader=reader) for one in found.values()
    )


def strands_of(sets: Iterable[RopeSet | None]) -> set[int]:
    """Return how many strands the ropes have; empty where one is not known."""
    found = set()
    for ropes in sets:
        strands, x, _wires = (ropes.strand_class if ropes else "").partition("x")
        if not (x and strands.isdigit()):
            return set()
        found.add(int(strands))
    return found


def _criteria_set(
    one: CriteriaSet, *, strands: Collection[int], reader: Reader
) -> content.AppliedSet:
    gaps = len(criteria.gaps(criteria_set=one))
    note = _("Chosen by the contractor; never a statement of what the law is.")
    if gaps:
        note += " " + ngettext(
            "The set has %(count)s gap, which was not filled by a guess.",
            "The set has %(count)s gaps, which were not filled by guesses.",
            gaps,
        ) % {"count": gaps}
    rules = one.traction
    borrowed = _(" (borrowed method)") if rules.borrowed else ""
    method_row = content.AppliedLimit(
        name=_("traction") + borrowed,
        limit=_("friction %(loading)s loading, %(stalled)s stalled")
        % {
            "loading": reader.plain(rules.mu_loading),
            "stalled": reader.plain(rules.mu_stalled),
        },
        source=rules.source,
        status=_(str(rules.status)),
    )
    known = [limit for limit in one.limits if limit.value is not None]
    shown = [
        limit for limit in known if not (strands and _is_of_others(limit, strands))
    ]
    if len(shown) < len(known):
        note += " " + _("Limits for ropes that no lift here has are left out.")
    limits = tuple(
        content.AppliedLimit(
            name=_name(limit, reader=reader),
            limit=_limit(limit, reader=reader),
            source=limit.source.text,
            status=_(str(limit.source.certainty)),
        )
        for limit in shown
    )
    return content.AppliedSet(
        name=one.title, edition="", note=note, criteria=(method_row, *limits)
    )


def _is_of_others(limit: Limit, strands: Collection[int]) -> bool:
    """Return whether a limit is for ropes of strands that none of these has."""
    return bool(strands) and limit.strands is not None and limit.strands not in strands


def _name(limit: Limit, *, reader: Reader) -> str:
    """Return a limit's words, with the ropes that it is for where not for all."""
    name = _(limit.words)
    if limit.strands is not None:
        name = _("%(limit)s; ropes of %(count)s strands") % {
            "limit": name,
            "count": limit.strands,
        }
    if limit.nominal_mm is not None:
        name = _("%(limit)s; ropes of %(size)s") % {
            "limit": name,
            "size": reader.length(limit.nominal_mm),
        }
    return name


def _limit(limit: Limit, *, reader: Reader) -> str:
    value = limit.value if limit.value is not None else 0.0
    bound = _(str(limit.bound))
    if limit.unit == "deg":
        return f"{bound} {reader.plain(value)}°"
    if limit.unit == "mm":
        shown = reader.length(value) if _is_odd(value) else reader.about(value)
        return f"{bound} {shown}"
    if limit.unit in ("grade", "wires") or (
        limit.unit == "MPa" and not reader.is_metric
    ):
        return f"{bound} {reader.quantity(value, limit.unit)}"
    unit = "" if limit.unit == "-" else f" {_(limit.unit)}"
    return f"{bound} {reader.plain(value)}{unit}"


def _is_odd(value_mm: float) -> bool:
    """Return whether a limit was worked out of inches: it ends in no tenth."""
    return abs(value_mm * 10.0 - round(value_mm * 10.0)) > 1e-6
