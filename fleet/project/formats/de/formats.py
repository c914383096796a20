"""Days as they are written on paper; times with their zone."""

SHORT_DATE_FORMAT = "d.m.Y"
DATETIME_FORMAT = "j. M Y, H:i e"
SHORT_DATETIME_FORMAT = "d.m.Y, H:i e"
