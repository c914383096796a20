"""Ropes: strength, required and actual safety factor, bending endurance."""

from inspections.engineering.rope.assumed_pulleys import (
    RequiredRange,
    required_range,
)
from inspections.engineering.rope.construction import (
    Certificate,
    RopeProperties,
    grade_mpa,
    new_diameter_tolerance,
    properties,
)
from inspections.engineering.rope.endurance import (
    Bending,
    endurance_exponent,
    relative_endurance,
    seat_radius_endurance_ratio,
    side_deflection_endurance_ratio,
)
from inspections.engineering.rope.pulleys import (
    Edition,
    EquivalentPulleys,
    counts_as_reverse_bend,
    equivalent_pulleys,
    sheave_equivalent_undercut,
    sheave_equivalent_v,
)
from inspections.engineering.rope.safety import (
    RequiredFactor,
    Service,
    actual_factor,
    diameter_ratio,
    equivalent_pulleys_allowed,
    floor_en,
    required_a17,
    required_en,
    safety_factor_en,
)
from inspections.engineering.tables.ropes import Construction

__all__ = [
    "Bending",
    "Certificate",
    "Construction",
    "Edition",
    "EquivalentPulleys",
    "RequiredFactor",
    "RequiredRange",
    "RopeProperties",
    "Service",
    "actual_factor",
    "counts_as_reverse_bend",
    "diameter_ratio",
    "endurance_exponent",
    "equivalent_pulleys",
    "equivalent_pulleys_allowed",
    "floor_en",
    "grade_mpa",
    "new_diameter_tolerance",
    "properties",
    "relative_endurance",
    "required_a17",
    "required_en",
    "required_range",
    "safety_factor_en",
    "seat_radius_endurance_ratio",
    "sheave_equivalent_undercut",
    "sheave_equivalent_v",
    "side_deflection_endurance_ratio",
]
