"""A limit by nominal size for a rope whose size the table does not print."""

from collections.abc import Callable

from inspections.engineering.criteria.criteria_set import CriteriaSet
from inspections.engineering.limit import Limit
from inspections.engineering.source import Certainty, Source
from inspections.reasons import Code, because

# How a row is carried to another size, and which of two such rows is the stricter.
_AS_SHARE = ("diameter_least", "diameter_least_rouge")
_AS_IT_IS = (
    "diameter_loss_most",
    "crown_flat_seale",
    "crown_flat_warrington",
    "crown_flat_filler",
)


def between_sizes(
    *, criteria_set: CriteriaSet, key: str, nominal_mm: float
) -> Limit | None:
    """Return the stricter of the two rows next to a size, carried to that size.

    Parameters
    ----------
    criteria_set : the set, whose rows go by nominal size
    key : a key of the closed list
    nominal_mm : d, nominal rope diameter [mm], > 0

    A least diameter is carried as a part of the nominal one, a loss or a flat as it
    is. Outside the table the strictest of all rows is taken. None where the set has no
    row with a number, or the key does not go by size.

    Raises nothing.

    Source: derived from the rows of the set; that the stricter one holds in between is
    common practice, no source.

    >>> from inspections.engineering import criteria
    >>> found = between_sizes(criteria_set=criteria.find(code="ASME_A17_1"),
    ...                       key="diameter_least", nominal_mm=13.0)
    >>> found.value
    12.28
    """
    if key not in (*_AS_SHARE, *_AS_IT_IS):
        return None
    rows = sorted(
        (each for each in criteria_set.limits if each.key == key and _is_sized(each)),
        key=_size,
    )
    if not rows:
        return None
    below = [row for row in rows if _size(row) <= nominal_mm]
    above = [row for row in rows if _size(row) >= nominal_mm]
    near = [below[-1], above[0]] if below and above else rows
    share = key in _AS_SHARE
    carried = _carried(share=share, nominal_mm=nominal_mm)
    strictest = max(near, key=carried) if share else min(near, key=carried)
    return Limit(
        key=key,
        words=strictest.words,
        value=carried(strictest),
        unit=strictest.unit,
        bound=strictest.bound,
        stage=strictest.stage,
        source=Source(
            document=strictest.source.document,
            edition=strictest.source.edition,
            clause=strictest.source.clause,
            certainty=Certainty.DERIVED,
        ),
        nominal_mm=nominal_mm,
        gap=because(
            Code.BETWEEN_SIZES, rows=tuple(dict.fromkeys(each.name for each in near))
        ),
    )


def _is_sized(row: Limit) -> bool:
    return row.nominal_mm is not None and row.value is not None


def _size(row: Limit) -> float:
    return row.nominal_mm or 0.0


def _carried(*, share: bool, nominal_mm: float) -> Callable[[Limit], float]:
    def carried(row: Limit) -> float:
        value = row.value or 0.0
        return value / _size(row) * nominal_mm if share else value

    return carried
