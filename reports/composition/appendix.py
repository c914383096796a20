"""What stands at the end: criteria with sources, words, method."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext, gettext_noop, ngettext
from django.utils.translation import gettext as _

from fleet.models import RopeSet
from inspections.engineering import criteria
from inspections.engineering.criteria import CriteriaSet
from inspections.engineering.limit import Limit
from reports import content
from reports.composition.reader import Reader

# A rope of 12.7 mm has the row of 12.70 mm.
_SAME_SIZE_MM = 0.05

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted:
    """Strands and nominal diameters of the ropes of all lifts; empty where not known.

    What is not known of one of them leaves no limit out.
    """

    strands: frozenset[int] = frozenset()
    sizes_mm: frozenset[float] = frozenset()


def fitted(sets: Iterable[RopeSet | None]) -> Fitted:
    """Return what the ropes of all lifts are."""
    found = list(sets)
    known = [ropes for ropes in found if ropes is not None]
    if len(known) < len(found):
        return Fitted()
    counts = [ropes.strand_class.partition("x")[0] for ropes in known]
    are_counts = all(count.isdigit() for count in counts)
    return Fitted(
        strands=frozenset(map(int, counts)) if are_counts else frozenset(),
        sizes_mm=frozenset(ropes.nominal_diameter_mm for ropes in known),
    )


def criteria_sets(
    sets: Iterable[CriteriaSet], *, ropes: Fitted | None = None, reader: Reader
) -> tuple[content.AppliedSet, ...]:
    """Return the sets that were applied, each limit with its source and status.

    Limits for ropes of some strands or size stand there only where some lift has such
    `ropes`; without these, all of them.
    """
    found = {one.code: one for one in sets}
    return tuple(
        _criteria_set(one, ropes=ropes or Fitted(), reader=reader)
        for one in found.values()
    )


def _criteria_set(
    one: CriteriaSet, *, ropes: Fitted, reader: Reader
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
    shown = [limit for limit in known if not _is_of_others(limit, known, ropes)]
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


def _is_of_others(limit: Limit, known: Sequence[Limit], ropes: Fitted) -> bool:
    """Return whether a limit is for ropes of strands or a size that none of these is.

    Where a size has no row of its own all sizes stay: its limit is carried from them.
    """
    of_strands = ropes.strands and limit.strands is not None
    if of_strands and limit.strands not in ropes.strands:
        return True
    sizes = [each.nominal_mm for each in known if each.nominal_mm is not None]
    if limit.nominal_mm is None or not ropes.sizes_mm:
        return False
    has_rows = all(any(_is_same(one, s) for s in sizes) for one in ropes.sizes_mm)
    is_own = any(_is_same(one, limit.nominal_mm) for one in ropes.sizes_mm)
    return has_rows and not is_own


def _is_same(one_mm: float, other_mm: float) -> bool:
    return abs(one_mm - other_mm) <= _SAME_SIZE_MM


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
