"""How far a seat may sink, how sure that is, and what would make it surer."""

from inspections.engineering.traction_limit.limits import limits_of
from inspections.engineering.traction_limit.outcome import (
    DepthLimit,
    LimitOutcome,
    LimitReason,
)
from inspections.engineering.traction_limit.spread import (
    Circumstances,
    RegisterSpread,
    usual_spread,
)

__all__ = [
    "Circumstances",
    "DepthLimit",
    "LimitOutcome",
    "LimitReason",
    "RegisterSpread",
    "limits_of",
    "usual_spread",
]
