"""The rim: metal under every groove of a cast rim, with what is unsure about it."""

from inspections.engineering.rim.assumed import MetalAnswer, MetalOver, metal_over
from inspections.engineering.rim.draft import (
    Slope,
    thickness_change_mm,
    usual_draft_rad,
)
from inspections.engineering.rim.metal import (
    GrooveMetal,
    RimMetal,
    metal,
    probability_below,
)
from inspections.engineering.rim.records import (
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
    "GrooveBottom",
    "GrooveMetal",
    "KnownDraft",
    "MeasuredDraft",
    "MetalAnswer",
    "MetalOver",
    "Pattern",
    "RimMetal",
    "Slope",
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
