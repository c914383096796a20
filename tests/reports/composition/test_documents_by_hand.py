"""The case that is worked out by hand in docs/documents.md, by formulas of its own."""

import re
from math import exp, log, pi, radians, sin
from pathlib import Path

WRITTEN = Path("docs/documents.md").read_text(encoding="utf-8")
TESTS = Path("tests/reports"), Path("tests/published"), Path("tests/archive")
G = 9.81


def test_the_case_in_the_docs_is_right_to_the_printed_digit():
    braking = 0.5
    masses, ropes = 1300.0 + 0.45 * 907.0, 3.288 * 27.0
    heavy = (masses + ropes) * (G + braking)
    light = (1300.0 + 27.0 / 2.0) * (G - braking)
    mu = 0.1 / (1.0 + 1.52 / 10.0)
    undercut = radians(95.0)
    ratio = 4.0 * (1.0 - sin(undercut / 2.0)) / (pi - undercut - sin(undercut))
    exponent = mu * ratio * radians(167.0)
    margin = 1.0 - log(heavy / light) / exponent

    for said in (
        f"= {heavy:.0f} N, printed {float(f'{heavy:.4g}'):.0f}",
        f"= {light:.0f} N, printed {float(f'{light:.4g}'):.0f}",
        f"= {heavy / light:.4f}, printed {heavy / light:.4g}",
        f"= {mu:.6f}, printed {mu:.4g}",
        f"= {ratio:.4f}, printed {ratio:.4g}",
        f"= {exponent:.5f}, printed {exponent:.4g}",
        f"= {exp(exponent):.4f}, printed {exp(exponent):.4g}",
        f"= {margin:.4f}, printed {margin:.4g}",
    ):
        assert said in WRITTEN, said


def test_every_test_that_the_docs_name_is_there():
    named = set(re.findall(r"`(test_[a-z0-9_]+)`", WRITTEN))
    written = "".join(
        path.read_text(encoding="utf-8")
        for folder in TESTS
        for path in folder.rglob("test_*.py")
    )

    assert len(named) > 40
    assert [name for name in named if f"def {name}(" not in written] == []
