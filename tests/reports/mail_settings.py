"""The project's settings, with a mail server that a test has started."""

import os

from fleet.project.settings import *  # noqa: F403

EMAIL_HOST, EMAIL_PORT = "127.0.0.1", int(os.environ["TEST_MAIL_PORT"])
EMAIL_TIMEOUT = 10
DEFAULT_FROM_EMAIL = "Reports <reports@north.example>"
