import pytest


@pytest.fixture(autouse=True)
def no_bell(monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep the broker out: a test that listens to the bell puts its own in."""
    monkeypatch.setattr("celery.current_app.send_task", lambda *_, **__: None)
