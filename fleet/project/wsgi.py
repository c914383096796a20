"""The WSGI door for gunicorn."""

import os

from django.core.wsgi import get_wsgi_application

from fleet.platform.database import time_limits

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.project.settings")

application = get_wsgi_application()
time_limits.for_web()
