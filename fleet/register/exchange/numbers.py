"""Numbers of a file: read by a strict grammar, written so that nothing is lost."""

import re
from decimal import Decimal
from fractions import Fraction

from fleet.platform import units
from fleet.register.exchange.dialect import Dialect
from fleet.register.exchange.problems import CellRefused

# Longer than what a person may type elsewhere: the export writes the shortest text
# that reads back as the very same binary number, and that may have many digits.
_DECIMAL = re.compile(r"[+-]?[0-9]{1,13}(\.[0-9]{1,400})?", re.ASCII)
_WHOLE = re.compile(r"[0-9]{1,9}", re.ASCII)
_MARK_NAMES = {".": "point", ",": "comma"}


def read_number(*, text: str, dialect: Dialect) -> Fraction:
    """Return a cell's exact number, such as 11.8, 29/64 or 1 3/16.

    Raises CellRefused for anything else: an exponent, a thousands mark, another
    decimal mark than the declared one, digits of other scripts.
    """
    mark = dialect.decimal_mark
    plain = text.replace(mark, ".") if "." not in text or mark == "." else ""
    if _DECIMAL.fullmatch(plain):
        return Fraction(plain)
    if "." not in plain and "," not in plain:
        try:
            return units.read_number(plain)
        except units.UnreadableNumber:
            pass
    raise CellRefused(
        f"{text[:40]!r} is not a number; write it like 11{mark}8, 29/64 or 1 3/16 "
        f"(the declared decimal mark is the {_MARK_NAMES[mark]}, and thousands have "
        "no mark)",
        code=units.UnreadableNumber.code,
    )


def read_whole(*, text: str) -> int:
    """Return a cell's whole number of 0 or more. Raises CellRefused."""
    if not _WHOLE.fullmatch(text):
        raise CellRefused(
            f"{text[:40]!r} is not a whole number of 0 or more",
            code=units.UnreadableNumber.code,
        )
    return int(text)


def write_number(value: float) -> str:
    """Return the shortest plain decimal that reads back as the same number.

    >>> write_number(12.7), write_number(600.0), write_number(1e-7)
    ('12.7', '600', '0.0000001')
    """
    text = format(Decimal(repr(value)), "f")
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
