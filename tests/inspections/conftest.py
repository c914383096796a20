from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest

from inspections.engineering import criteria
from inspections.inputs import loading


@pytest.fixture
def correct(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[..., None]]:
    """Return what puts another value into a criteria set, for the time of a test."""

    def put(code: str, key: str, share: float) -> None:
        printed = criteria.find(code=code)
        limits = tuple(
            replace(each, value=each.value * share) if each.key == key else each
            for each in printed.limits
        )
        corrected = replace(printed, limits=limits)
        monkeypatch.setitem(criteria._BY_CODE, code, corrected)
        loading._criteria.cache_clear()

    yield put
    loading._criteria.cache_clear()
