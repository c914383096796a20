"""Traction: what the rope holds in its groove, and when it must slip."""

from inspections.engineering.groove.closed_forms import (
    undercut_factor_ratio,
    vee_factor_ratio,
)
from inspections.engineering.traction.friction import (
    friction_factor_ratio,
    standard_factor_ratio,
    uniform_pressure_ratio,
)
from inspections.engineering.traction.greatest import (
    greatest_factor_depth_mm,
    upper_bound_factor_ratio,
)
from inspections.engineering.traction.margins import (
    contact_factor_ratio,
    exponent,
    limit_ratio,
    margin,
    utilisation,
    worn_factor_ratio,
)
from inspections.engineering.traction.rules import (
    EN_81_1_1985,
    EN_81_50,
    LoadCase,
    TractionRules,
    braking_harder,
    dynamic_factor,
    friction_coefficient,
)

__all__ = [
    "EN_81_1_1985",
    "EN_81_50",
    "LoadCase",
    "TractionRules",
    "braking_harder",
    "contact_factor_ratio",
    "dynamic_factor",
    "exponent",
    "friction_coefficient",
    "friction_factor_ratio",
    "greatest_factor_depth_mm",
    "limit_ratio",
    "margin",
    "standard_factor_ratio",
    "undercut_factor_ratio",
    "uniform_pressure_ratio",
    "upper_bound_factor_ratio",
    "utilisation",
    "vee_factor_ratio",
    "worn_factor_ratio",
]
