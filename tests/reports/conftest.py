import socket

import pytest

from tests import factories
from tests.reports import mail_server


@pytest.fixture
def north(settings, tmp_path):
    settings.MEDIA_ROOT = str(tmp_path / "media")
    return factories.cast()


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
