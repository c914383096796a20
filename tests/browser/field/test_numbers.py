"""A number is read on the phone exactly as the server will read it."""

import random

from fleet.platform import units
from tests.browser.field.phone import call

ODD = (
    "1", "+1.5", "-0.3", "29/64", "1 3/16", "-1 3/16", "1/0", "", ".5", "5.", "1e3",
    "1,000.5", "999999999.999999999", "0/7", "00012", "1/3", "٣", "1  3/16", "--1",
)  # fmt: skip


def test_ten_thousand_typed_numbers_become_the_same_float(page):
    chance = random.Random(4)
    typed = [_typed(chance) for _ in range(10_000)]
    asked = []
    for text in (*ODD, *typed):
        quantity = chance.choice(sorted(units.QUANTITIES))
        unit = chance.choice(sorted(units.QUANTITIES[quantity].units))
        factor = units.factor(quantity=quantity, unit=unit)
        asked.append((text, unit, quantity, factor))

    found = call(
        page,
        "return given[0].map(([text, ...f]) => numbers.canonical(text, f));",
        [(t, str(f.numerator), str(f.denominator)) for t, _, _, f in asked],
    )

    expected = [_read(text, unit, quantity) for text, unit, quantity, _ in asked]
    assert found == expected
    assert sum(each is None for each in expected) < 30


def test_a_comma_is_a_point_and_nothing_else_changes(page):
    typed = ["0,4", "1,000.5", "1,2,3", " 1  3/16 ", "−0,3", "12.9"]

    found = call(page, "return given[0].map(numbers.plain);", typed)

    assert found == ["0.4", "1,000.5", "1,2,3", "1 3/16", "-0.3", "12.9"]


def _typed(chance: random.Random) -> str:
    sign = chance.choice(("", "", "-", "+"))
    if chance.random() < 0.3:
        whole = f"{chance.randrange(1000)} " if chance.random() < 0.5 else ""
        return f"{sign}{whole}{chance.randrange(129)}/{chance.randrange(1, 129)}"
    digits = "".join(chance.choices("0123456789", k=chance.randrange(1, 10)))
    part = "".join(chance.choices("0123456789", k=chance.randrange(0, 10)))
    return f"{sign}{digits}" + (f".{part}" if part else "")


def _read(text: str, unit: str, quantity: str) -> float | None:
    try:
        return units.to_canonical(text=text, unit=unit, quantity=quantity)
    except units.UnreadableNumber:
        return None
