"""The rim: metal under every groove of a cast rim, with what is unsure about it."""

from inspections.engineering.rim.assumed import MetalAnswer, MetalOver, metal_over
from inspections.engineering.rim.draft import (
    DraftSlope,
    thickness_change_mm,
    usual_draft_rad,
)
from inspections.engineering.rim.least_metal import (
    GrooveMetal,
    RimMetal,
    metal,
    probability_below,
)
from inspections.engineering.rim.survey import (
    Bolts,
    CastRunout,
    Draft,
    DraftRange,
    GrooveBottom,
    KnownDraft,
    MeasuredDraft,
    Surface,
    Thicker,
    ThicknessReading,
    Web,
)
from inspections.engineering.tables.casting import Pattern

__all__ = [
    "Bolts",
    "CastRunout",
    "Draft",
    "DraftRange",
    "DraftSlope",
    "GrooveBottom",
    "GrooveMetal",
    "KnownDraft",
    "MeasuredDraft",
    "MetalAnswer",
    "MetalOver",
    "Pattern",
    "RimMetal",
    "Surface",
    "Thicker",
    "ThicknessReading",
    "Web",
    "metal",
    "metal_over",
    "probability_below",
    "thickness_change_mm",
    "usual_draft_rad",
]
