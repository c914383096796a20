"""Days with the month in words; times by 24 hours with their zone."""

SHORT_DATE_FORMAT = "j M Y"
DATETIME_FORMAT = "j M Y, H:i e"
SHORT_DATETIME_FORMAT = "j M Y, H:i e"
