"""The list of thresholds with their defaults, and how a contractor changes them."""

from collections.abc import Mapping

from inspections.decisions.records import Stricter, Threshold, Thresholds
from inspections.engineering.validity import OutsideValidity
from inspections.reasons import Code, because


def _row(
    name: str,
    words: str,
    unit: str,
    default: float,
    between: tuple[float, float],
    *,
    source: str = "our rule",
    stricter: Stricter = Stricter.NEITHER,
    safety: bool = False,
) -> Threshold:
    return Threshold(
        name=name,
        words=words,
        unit=unit,
        value=default,
        default=default,
        low=between[0],
        high=between[1],
        source=source,
        stricter=stricter,
        safety=safety,
    )


DEFAULTS = Thresholds(
    rows=(
        _row(
            "diameter_ratio_least",
            "least D/d after a cut, beside the criteria set's own",
            "",
            40.0,
            (40.0, 100.0),
            source="34 Pa. Code 7.56(f) (confirmed); EN 81-20:2014, 5.5.2.1 (from "
            "memory)",
            stricter=Stricter.HIGHER,
            safety=True,
        ),
        _row(
            "chance_too_thin_most",
            "greatest chance that a groove keeps less than the maker's least metal "
            "after a cut",
            "",
            0.025,
            (1e-6, 0.025),
            source="our rule; two standard deviations",
            stricter=Stricter.LOWER,
            safety=True,
        ),
        _row(
            "margin_after_least",
            "least margin of traction after work, in every case",
            "",
            0.0,
            (0.0, 0.5),
            source="EN 81-50:2014, 5.11.2 (from memory): the inequality itself",
            stricter=Stricter.HIGHER,
            safety=True,
        ),
        _row(
            "clean_up_mm",
            "clean-up below the deepest seat",
            "mm",
            1.6,
            (0.5, 6.0),
            source='note "General & Elevator Sheave Re-Grooving": deepest groove plus '
            "1/16 in",
        ),
        _row(
            "near_years",
            "a limit to be planned for within this time counts as near",
            "years",
            2.0,
            (0.5, 10.0),
            stricter=Stricter.HIGHER,
        ),
        _row(
            "open_finding_years",
            "an open finding that is not urgent is answered within this time",
            "years",
            0.5,
            (0.0, 2.0),
            stricter=Stricter.LOWER,
        ),
        _row(
            "short_life_years",
            "re-roping alone is pointless where the grooves are due within this time",
            "years",
            2.0,
            (0.0, 10.0),
        ),
        _row(
            "further_cuts_least",
            "cuts that must be left after a cut for it not to be pointless",
            "",
            1.0,
            (0.0, 3.0),
        ),
        _row(
            "retension_after_days",
            "tensions are set again this long after new ropes",
            "days",
            30.0,
            (7.0, 90.0),
            source="common practice, no source: after about a month",
        ),
        _row(
            "together_years",
            "works whose dates lie this near are done at one stop",
            "years",
            1.0,
            (0.0, 5.0),
        ),
        _row(
            "tie_chance",
            "options count as equal in cost from this chance of being cheaper on",
            "",
            0.25,
            (0.05, 0.5),
        ),
        _row(
            "cuts_of_new_sheave",
            "cuts that a new sheave or rim is taken to allow",
            "",
            1.0,
            (0.0, 5.0),
            source="common practice, no source: one or two",
        ),
        _row(
            "rate_spread",
            "standard deviation of the logarithm of the rate of a part yet to come",
            "",
            0.35,
            (0.05, 1.5),
        ),
        _row(
            "wear_unevenness",
            "spread of a life whose rate is known, in shares of it",
            "",
            0.15,
            (0.02, 0.6),
        ),
        _row(
            "shared_on_machine",
            "correlation between dates of one machine beside that of its class",
            "",
            0.5,
            (0.0, 0.9),
        ),
        _row(
            "shared_in_class",
            "correlation between dates of machines of one class of wear",
            "",
            0.1,
            (0.0, 0.9),
        ),
    )
)


def changed(*, changes: Mapping[str, float]) -> Thresholds:
    """Return the thresholds with a contractor's changes.

    Raises OutsideValidity for a name that is not on the list, a value outside its
    range, one on safety that is laxer than the default, or two correlations that
    leave nothing of a machine's own.
    """
    names = {row.name for row in DEFAULTS.rows}
    for name, value in changes.items():
        if name not in names:
            raise OutsideValidity(
                name=name, value=value, rule=because(Code.RULE_A_THRESHOLD)
            )
    found = Thresholds(
        rows=tuple(_with(row, changes.get(row.name)) for row in DEFAULTS.rows)
    )
    shared = found.value("shared_on_machine") + found.value("shared_in_class")
    if shared > 0.95:
        raise OutsideValidity(
            name="shared_on_machine + shared_in_class",
            value=shared,
            rule=because(Code.RULE_TOGETHER, limit=0.95),
        )
    return found


def _with(row: Threshold, value: float | None) -> Threshold:
    if value is None:
        return row
    return Threshold(
        **{name: getattr(row, name) for name in row.__slots__} | {"value": float(value)}
    )
