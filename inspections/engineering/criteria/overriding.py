"""A contractor's own values in place of the printed ones."""

from collections.abc import Mapping
from dataclasses import replace

from inspections.engineering.criteria.catalogue import DEFINITIONS, row
from inspections.engineering.criteria.criteria_set import CriteriaSet
from inspections.engineering.limit import Limit
from inspections.engineering.source import Source
from inspections.engineering.traction.rules import TractionRules
from inspections.engineering.validity import require_not_negative

_TRACTION = "traction."
_TRACTION_VALUES = (
    "mu_loading",
    "mu_braking_base",
    "braking_speed_m_s",
    "mu_stalled",
    "load_factor",
    "retardation_m_s2",
    "bottom_allowance_mm",
)


class UnknownLimit(KeyError):
    """A name that no criteria set can have."""

    def __str__(self) -> str:
        """Return the message without the quotes that KeyError adds."""
        return str(self.args[0])


def override(
    *, criteria_set: CriteriaSet, values: Mapping[str, float], source: Source
) -> CriteriaSet:
    """Return a set in which some values are the contractor's own.

    A name is a limit's name ("breaks_even/8", "diameter_least@12.7") or a traction
    value ("traction.mu_loading"). A row that the set lacks is added, a gap is filled;
    every changed row keeps the printed one in `replaces`.

    Parameters
    ----------
    criteria_set : the set to start from
    values : name to value [unit of the limit; friction coefficients -]
    source : who entered them and from which copy

    Raises UnknownLimit for a name outside the closed list, OutsideValidity for a value
    that is negative or not a finite number.

    Source: own bookkeeping.

    >>> from inspections.engineering import criteria
    >>> from inspections.engineering.source import Certainty
    >>> own = Source(document="own copy", certainty=Certainty.ENTERED)
    >>> changed = override(criteria_set=criteria.find(code="EN_81_20"),
    ...                    values={"breaks_even/8": 26.0}, source=own)
    >>> found = criteria.lookup(criteria_set=changed, key="breaks_even", strands=8)
    >>> found.value, found.replaces.value
    (26.0, 30.0)
    """
    limits = list(criteria_set.limits)
    traction = criteria_set.traction
    for name, value in values.items():
        require_not_negative(**{name: value})
        if name.startswith(_TRACTION):
            traction = _with_traction(traction, name=name, value=value, source=source)
        else:
            _put(limits, _entered(name=name, value=value, source=source))
    return replace(criteria_set, limits=tuple(limits), traction=traction)


def _with_traction(
    traction: TractionRules, *, name: str, value: float, source: Source
) -> TractionRules:
    field = name.removeprefix(_TRACTION)
    if field not in _TRACTION_VALUES:
        known = ", ".join(_TRACTION + each for each in _TRACTION_VALUES)
        raise UnknownLimit(f"{name} is no traction value; known are {known}")
    changed: dict[str, float] = {field: value}
    return replace(
        traction,
        source=f"{source.text} for {field}, else {traction.source}",
        **changed,  # type: ignore[arg-type]
    )


def _put(limits: list[Limit], entered: Limit) -> None:
    for index, printed in enumerate(limits):
        if printed.name == entered.name:
            limits[index] = replace(
                printed, value=entered.value, source=entered.source, replaces=printed
            )
            return
    # Before the general row of the same key, so that the closer fit is found first.
    for index, printed in enumerate(limits):
        if printed.key == entered.key:
            limits.insert(index, entered)
            return
    limits.append(entered)


def _entered(*, name: str, value: float, source: Source) -> Limit:
    rest, _, nominal = name.partition("@")
    key, _, strands = rest.partition("/")
    if key not in DEFINITIONS:
        raise UnknownLimit(f"{name} is no limit of a criteria set")
    try:
        return row(
            key=key,
            value=value,
            source=source,
            strands=int(strands) if strands else None,
            nominal_mm=float(nominal) if nominal else None,
        )
    except ValueError as error:
        raise UnknownLimit(
            f"{name} is no limit of a criteria set; a name reads key/strands@diameter"
        ) from error
