"""The colours of figures and pages. Each also differs in lightness or pattern,
so that a black-and-white print says the same."""

from reportlab.lib.colors import Color, HexColor

INK: Color = HexColor("#1f2a30")
SOFT_INK: Color = HexColor("#56636b")
RULE: Color = HexColor("#c6cccf")
PAPER: Color = HexColor("#ffffff")
TINT: Color = HexColor("#f3f1ec")
METAL: Color = HexColor("#e4e7e8")
HATCH: Color = HexColor("#a9b2b7")
ACCENT: Color = HexColor("#1d4f5b")
BAND: Color = HexColor("#c3d8da")
LOST: Color = HexColor("#e9c48f")
LOST_EDGE: Color = HexColor("#8a5a14")
LIMIT: Color = HexColor("#7d2433")
ROPE: Color = HexColor("#fbfaf7")
