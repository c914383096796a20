import pytest

from tests import factories


@pytest.fixture
def north() -> factories.Cast:
    return factories.cast(code="north")


@pytest.fixture
def south() -> factories.Cast:
    return factories.cast(code="south")
