"""A worn machine of a contractor with rates, and one of a contractor without."""

import pytest
import time_machine

from tests import factories
from tests.inspections.options import worn
from tests.inspections.planning.test_outlook import RATES
from tests.inspections.planning.test_terms import change

THAT_DAY = "2026-05-05T08:00:00+00:00"


@pytest.fixture(autouse=True)
def that_day():
    with time_machine.travel(THAT_DAY, tick=True):
        yield


@pytest.fixture(scope="module")
def worn_on():
    return THAT_DAY


@pytest.fixture(scope="module")
def before_it_is_read():
    return lambda cast: change(cast, "rates", RATES)


@pytest.fixture
def bare(settings, tmp_path, db):
    """A contractor without rates, whose machine is as worn."""
    settings.MEDIA_ROOT = str(tmp_path / "media")
    cast = factories.cast(code="south")
    worn.machine(cast)
    return cast


@pytest.fixture
def north(with_worn, settings, tmp_path):
    settings.MEDIA_ROOT = str(tmp_path / "media")
    return with_worn[0]


@pytest.fixture
def machine(with_worn):
    return with_worn[1]
