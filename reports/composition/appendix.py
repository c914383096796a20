"""What stands at the end: criteria with sources, words, method, cautions."""

from collections.abc import Iterable

from inspections.engineering import criteria
from inspections.engineering.criteria import CriteriaSet
from inspections.engineering.limit import Limit
from reports import content

DEFERRAL = (
    "Local code, the authority having jurisdiction and licensed inspectors decide "
    "whether a lift may run; nothing in this report permits it."
)

CAUTIONS = (
    content.Caution(
        code="no-inspection",
        version="1",
        text="This report says what was read and what was worked out from it. It is "
        "no inspection and no permission to run; readings are those of the days they "
        "were taken.",
        reason="Stands on every report.",
        on_first_page=True,
    ),
    content.Caution(
        code="not-made-is-not-passed",
        version="1",
        text="A check that was not made is not a check that was passed; each is "
        "listed with its reason.",
        reason="Stands on every report.",
        on_first_page=True,
    ),
    content.Caution(
        code="isolate",
        version="1",
        text="Work on ropes, sheave and brake only by competent persons under the "
        "site's own rules and the maker's instructions: isolate, lock out and prove "
        "dead before touching; land and secure the counterweight and suspend the car "
        "before ropes are lifted or grooves cut.",
        reason="Work on a traction drive can hurt and kill.",
    ),
    content.Caution(
        code="moving-ropes",
        version="1",
        text="Never touch, gauge or wipe moving ropes; no hand between rope and "
        "sheave. Do not rely on brake or traction alone: a worn groove may not hold.",
        reason="Work on a traction drive can hurt and kill.",
    ),
    content.Caution(
        code="brake-on-sheave",
        version="1",
        text="Brakes that act on the drive sheave hold the car only as far as the "
        "grooves hold the ropes.",
        reason="Low traction also takes away this protection.",
    ),
    content.Caution(
        code="return-to-service",
        version="1",
        text="A machine taken out of service is tagged and comes back only after "
        "repair, re-inspection and acceptance by those the local code names.",
        reason="Stands on every report.",
    ),
)

GLOSSARY = (
    ("Traction", "the grip by which the drive sheave moves the ropes; friction alone."),
    ("Seat", "the place in the groove that the rope has worn for itself."),
    ("Undercut", "a slot below the seat that makes the rope grip more."),
    ("Bottoming", "the rope reaching the bottom of its groove or slot."),
    ("Wrap", "the angle over which the ropes lie on the sheave."),
    ("Stalled", "car or counterweight has landed and the machine turns on."),
    ("Run-by", "the way left before car or counterweight touches its buffer."),
    ("Rouge", "red-brown powder from wires rubbing inside a rope."),
    (
        "Draft",
        "the taper of a casting's underside, for drawing its pattern.",
    ),
    ("Regroove", "turn all grooves to one depth below the deepest seat."),
    ("Criteria set", "a named, dated list of limits chosen by the contractor."),
    ("About 1 in 10", "of ten machines like this, about one meets the limit earlier."),
)

METHOD = (
    (
        "Readings",
        "are kept as typed, with unit, place and time. Each seat depth comes from what "
        "was measured: clearance to the groove bottom, seat bands on the flanks, or "
        "crown height against one as new, with its uncertainty.",
    ),
    (
        "Traction",
        "is worked out for the groove as worn from the arcs on which the rope lies, "
        "for every load case of the set, with one margin that is positive when good. "
        "Friction coefficients are conventions of the code; where a family of codes "
        "prints none the method is borrowed and a test on the machine decides.",
    ),
    (
        "Forecast",
        "fits each place's own readings together with those of its neighbours, allows "
        "for gauge noise and changing use, and meets the limit with the limit's own "
        "uncertainty. Dates are shown as chances; no date is permission to wait.",
    ),
    (
        "Grades",
        "are the contractor's own: act now (a limit is passed), plan work (a margin is "
        "not sure or work is due), keep an eye on, in order, not assessed.",
    ),
)


def criteria_sets(sets: Iterable[CriteriaSet]) -> tuple[content.CriteriaSet, ...]:
    """Return the sets that were applied, each limit with its source and status."""
    found = {one.code: one for one in sets}
    return tuple(_criteria_set(one) for one in found.values())


def _criteria_set(one: CriteriaSet) -> content.CriteriaSet:
    gaps = len(criteria.gaps(criteria_set=one))
    note = "Chosen by the contractor; never a statement of what the law is."
    if gaps:
        note += f" The set has {gaps} gaps, which were not filled by guesses."
    rules = one.traction
    method = content.Criterion(
        name="traction" + (" (borrowed method)" if rules.borrowed else ""),
        limit=f"friction {rules.mu_loading:g} loading, {rules.mu_stalled:g} stalled",
        source=rules.source,
        status=str(rules.status),
    )
    limits = tuple(
        content.Criterion(
            name=limit.words,
            limit=_limit(limit),
            source=limit.source.text,
            status=str(limit.source.certainty),
        )
        for limit in one.limits
        if limit.value is not None
    )
    return content.CriteriaSet(
        name=one.title, edition=one.code, note=note, criteria=(method, *limits)
    )


def _limit(limit: Limit) -> str:
    unit = "" if limit.unit == "-" else f" {limit.unit}"
    return f"{limit.bound} {limit.value:g}{unit}"
