"""The three answers a criterion can have."""

from enum import StrEnum

from inspections.engineering.validity import OutsideValidity, require_finite
from inspections.reasons import Code, because


class Answer(StrEnum):
    """BEYOND or WITHIN whatever the unknown is; OPEN where it depends on it."""

    BEYOND = "BEYOND"
    WITHIN = "WITHIN"
    OPEN = "OPEN"


def answer_of(*, worst_margin: float | None, best_margin: float | None) -> Answer:
    """Return the answer between the worst and the best margin there can be.

    Parameters
    ----------
    worst_margin : the least margin over what is not known, positive is good [unit of
        the limit]; None where the method does not hold somewhere on the bad side
    best_margin : the greatest margin [unit of the limit]; None likewise

    A margin of zero is within, as it is for "at most" and "at least".

    Raises OutsideValidity for margins that are not finite or the wrong way round.

    Source: own definition; knowing less never makes a machine look better.

    >>> answer_of(worst_margin=-0.2, best_margin=0.1)
    <Answer.OPEN: 'OPEN'>
    """
    if worst_margin is None or best_margin is None:
        return Answer.OPEN
    require_finite(worst_margin=worst_margin, best_margin=best_margin)
    if worst_margin > best_margin:
        raise OutsideValidity(
            name="worst_margin",
            value=worst_margin,
            rule=because(
                Code.RULE_AT_MOST_NAMED, other="best_margin", limit=best_margin
            ),
        )
    if best_margin < 0.0:
        return Answer.BEYOND
    return Answer.WITHIN if worst_margin >= 0.0 else Answer.OPEN
