import pytest

from tests import factories


@pytest.fixture
def north() -> factories.Cast:
    return factories.cast(code="north")


@pytest.fixture(autouse=True)
def no_bell(monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep the broker out."""
    monkeypatch.setattr("celery.current_app.send_task", lambda *_, **__: None)
