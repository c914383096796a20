"""Words that whoever guesses a password of this service tries first (ASVS 5.0, 6.2.11).

The list is ours, no source; docs/operations.md, "Passwords", says what it is for.
"""

import re
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext

WORDS = (
    *("ropeseat", "ropes", "rope", "sheaves", "sheave", "grooves", "groove"),
    *("lifts", "lift", "elevators", "elevator", "traction", "brake", "hoist"),
    *("counterweight", "machine", "inspection", "technician", "office", "password"),
    *("aufzüge", "aufzug", "seile", "seil", "treibscheibe", "scheibe", "rillen"),
    *("rille", "bremse", "gegengewicht", "maschine", "prüfung", "büro", "passwort"),
)
# What is left of a password without these words must still be something to guess.
LEAST_LEFT = 6
_WORD = re.compile("|".join(sorted(map(re.escape, WORDS), key=len, reverse=True)))


class TradeWords:
    """Refuses a password that is made of words of the trade, digits and marks."""

    def validate(self, password: str, user: Any = None) -> None:
        """Raise ValidationError where too little is left without them."""
        left = _WORD.sub("", password.casefold())
        letters = sum(c.isalpha() for c in left)
        if left != password.casefold() and letters < LEAST_LEFT:
            raise ValidationError(self.get_help_text(), code="trade-words")

    def get_help_text(self) -> str:
        """Return what is asked of a password."""
        return gettext(
            "A password must not be made of words of the trade, such as “sheave” or "
            "“lift”, with numbers."
        )
