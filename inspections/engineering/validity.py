"""The range in which a formula holds, checked in one place."""

from math import inf, isfinite

from inspections.reasons import Code, Reason, because

_FINITE = because(Code.RULE_FINITE)
_POSITIVE = because(Code.RULE_POSITIVE)
_NOT_NEGATIVE = because(Code.RULE_NOT_NEGATIVE)


class OutsideValidity(ValueError):
    """A value lies outside the range in which a formula holds.

    The message names the value and the limit, so that it can be shown as it is.
    """

    def __init__(self, *, name: str, value: float, rule: Reason) -> None:
        self.rule = rule
        self.name = name
        self.value = value
        super().__init__(name, value, self.rule)

    @property
    def reason(self) -> Reason:
        """Return the reason: which value is out of which range."""
        return because(
            Code.OUTSIDE_VALIDITY, name=self.name, value=self.value, rule=self.rule
        )

    def __str__(self) -> str:
        return str(self.reason)


def require_finite(**values: float) -> None:
    """Raise OutsideValidity for the first value that is NaN or infinite."""
    for name, value in values.items():
        if not isfinite(value):
            raise OutsideValidity(name=name, value=value, rule=_FINITE)


def require_positive(**values: float) -> None:
    """Raise OutsideValidity for the first value that is not above zero."""
    for name, value in values.items():
        if not 0.0 < value < inf:
            require_finite(**values)
            raise OutsideValidity(name=name, value=value, rule=_POSITIVE)


def require_not_negative(**values: float) -> None:
    """Raise OutsideValidity for the first value below zero."""
    for name, value in values.items():
        if not 0.0 <= value < inf:
            require_finite(**values)
            raise OutsideValidity(name=name, value=value, rule=_NOT_NEGATIVE)


def require_within(*, low: float, high: float, **values: float) -> None:
    """Raise OutsideValidity for the first value outside [low, high]."""
    require_finite(**values)
    for name, value in values.items():
        if not low <= value <= high:
            raise OutsideValidity(
                name=name,
                value=value,
                rule=because(Code.RULE_FROM_TO, low=low, high=high),
            )
