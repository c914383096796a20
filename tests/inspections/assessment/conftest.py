import pytest

from tests import factories


@pytest.fixture
def north(monkeypatch: pytest.MonkeyPatch) -> factories.Cast:
    monkeypatch.setattr("celery.current_app.send_task", lambda *_, **__: None)
    return factories.cast(code="north")
