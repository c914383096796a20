"""docs/access.md is the matrix as it stands."""

from tests.access import page


def test_the_page_is_current():
    assert page.PAGE.read_text(encoding="utf-8") == page.written(), (
        "run: python -m tests.access"
    )


def test_the_page_says_what_is_kept_back():
    text = page.written()

    assert "| POST | `/uploads` | yes | yes | no | yes | no |" in text
    assert "| GET | `/reports/<pk>/file` | all | issued | issued | no |" in text
    [planned] = [line for line in text.splitlines() if line.startswith("| PlannedWork")]
    assert "`note`" in planned
