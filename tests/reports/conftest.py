import copy
import socket

import pytest
from django.db import transaction

from reports import content
from reports.pdf import document
from tests import factories
from tests.reports import machine_readings, mail_server


@pytest.fixture
def north(settings, tmp_path):
    settings.MEDIA_ROOT = str(tmp_path / "media")
    return factories.cast()


@pytest.fixture(scope="module")
def _measured_of_module(django_db_setup, django_db_blocker):
    with (
        django_db_blocker.unblock(),
        transaction.atomic(),
        pytest.MonkeyPatch.context() as patch,
    ):
        patch.setattr("celery.current_app.send_task", lambda *_, **__: None)
        cast = factories.cast()
        machine_readings.readings(cast)
        yield cast
        transaction.set_rollback(True)


@pytest.fixture
def measured(_measured_of_module, settings, tmp_path, db):
    """North with MH-1 measured twice, judged and forecast, made once for a file.

    What a test changes is taken back after it; `north` is no use in the same file.
    """
    settings.MEDIA_ROOT = str(tmp_path / "media")
    return copy.deepcopy(_measured_of_module)


@pytest.fixture
def really_drawn():
    """For a test that is about a drawn file, where the others make plain ones."""


@pytest.fixture
def plain_files(request, monkeypatch):
    """In place of a drawn file its content stands, where nobody reads the file.

    Equal content gives equal bytes and other content others, as drawing does.
    """
    if "really_drawn" in request.fixturenames:
        return

    def written(*, document):
        return b"%PDF-1.7\n" + content.to_json(document)

    monkeypatch.setattr(document, "issue", written)


@pytest.fixture
def mail(settings):
    """A real mail server; Django's own SMTP backend talks to it."""
    with mail_server.running() as server:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", server.port
        settings.DEFAULT_FROM_EMAIL = "Reports <reports@north.example>"
        yield server


@pytest.fixture
def no_mail_server(settings):
    """An address where nobody listens."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = free.getsockname()
        yield
