"""The range in which a formula holds, checked in one place."""

from math import isfinite


class OutsideValidity(ValueError):
    """A value lies outside the range in which a formula holds.

    The message names the value and the limit, so that it can be shown as it is.
    """

    def __init__(self, *, name: str, value: float, rule: str) -> None:
        super().__init__(f"{name} is {value:g}; it must be {rule}")
        self.name = name
        self.value = value
        self.rule = rule


def require_finite(**values: float) -> None:
    """Raise OutsideValidity for the first value that is NaN or infinite."""
    for name, value in values.items():
        if not isfinite(value):
            raise OutsideValidity(name=name, value=value, rule="a finite number")


def require_positive(**values: float) -> None:
    """Raise OutsideValidity for the first value that is not above zero."""
    require_finite(**values)
    for name, value in values.items():
        if value <= 0.0:
            raise OutsideValidity(name=name, value=value, rule="positive")


def require_not_negative(**values: float) -> None:
    """Raise OutsideValidity for the first value below zero."""
    require_finite(**values)
    for name, value in values.items():
        if value < 0.0:
            raise OutsideValidity(name=name, value=value, rule="zero or more")


def require_within(*, low: float, high: float, **values: float) -> None:
    """Raise OutsideValidity for the first value outside [low, high]."""
    require_finite(**values)
    for name, value in values.items():
        if not low <= value <= high:
            raise OutsideValidity(
                name=name, value=value, rule=f"from {low:g} to {high:g}"
            )
