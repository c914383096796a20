import pytest

from tests.every_row import of_each


@pytest.fixture
def least():
    return 2


@of_each("number", [2, 3, 4])
def test_rows_that_hold_pass_beside_a_fixture(least, number):
    assert number >= least


def test_each_row_that_fails_is_named_and_no_other():
    seen = []

    @of_each("number", [1, 2, 0, 4], ids=lambda number: f"row {number}")
    def check(number):
        seen.append(number)
        assert 4 / number < 4

    with pytest.raises(AssertionError, match="2 of 4 rows fail") as failed:
        check()

    assert seen == [1, 2, 0, 4]
    told = str(failed.value)
    assert "row 1: AssertionError" in told
    assert "row 0: ZeroDivisionError" in told
    assert "row 2" not in told
    assert "row 4" not in told


def test_a_table_without_rows_proves_nothing():
    with pytest.raises(AssertionError, match="nothing to check"):
        of_each("row", [])(lambda row: None)()
