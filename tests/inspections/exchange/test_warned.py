"""What a file's readings are warned of: in German as in English."""

import pytest
from django.utils import translation

from inspections.exchange import warned
from inspections.intake import gauging, judge

OVERDUE = gauging.OVERDUE.format(gauge="g-1; alt", day="2026-03-01")


@pytest.mark.parametrize(
    ("warning", "said"),
    [
        (judge.MEASURE_AGAIN, "jetzt noch einmal messen"),
        (judge.HELD_BACK, "zurückgehalten"),
        (judge.NOT_CHECKED, "nicht auf Glaubwürdigkeit geprüft"),
        ("check: defect", "Mangel"),
        (OVERDUE, "Messmittel g-1; alt war am 01.03.2026 zur Kalibrierung fällig"),
        (f"{judge.HELD_BACK}; {OVERDUE}", "bis jemand es bestätigt; Messmittel g-1"),
        (f"check: defect; {OVERDUE}", "Mangel; Messmittel g-1; alt"),
        ("something else: of tomorrow", "something else: of tomorrow"),
    ],
)
def test_a_warning_is_said_in_german_with_its_values(warning, said):
    with translation.override("de"):
        assert said in warned.in_words(warning)

    assert warned.in_words(warning) == warning
