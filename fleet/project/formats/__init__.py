"""How days and times are written in each language, in Django's own signs."""
