"""Which grooves ropes run in, by the few ways in which they are laid."""

from django.utils.translation import gettext_lazy as _

LAYOUTS = (
    ("ONE_EACH", _("rope 1 in groove 1, rope 2 in groove 2 and so on")),
    ("SIDE_BY_SIDE", _("two each, side by side: rope 1 in 1 and 2")),
    ("HALVES", _("two each: rope 1 in 1 and the first of the second half")),
)


def seats(number: int, count: int, layout: str) -> tuple[int, ...]:
    """Return the grooves of one rope of so many, the one next to the car first.

    >>> seats(2, 4, "SIDE_BY_SIDE"), seats(2, 4, "HALVES"), seats(2, 4, "ONE_EACH")
    ((3, 4), (2, 6), (2,))
    """
    if layout == "SIDE_BY_SIDE":
        return (2 * number - 1, 2 * number)
    return (number, number + count) if layout == "HALVES" else (number,)
