"""The web server as shipped; by FIELD_FOLDER with another version of the page."""

import os
from pathlib import Path

from django.conf import settings

from fleet.project import wsgi

_PLACE = "FIELD_FOLDER"

if folder := os.environ.get(_PLACE):
    from django.contrib.staticfiles import finders
    from django.core.wsgi import get_wsgi_application

    from inspections.pages import field

    settings.STATICFILES_DIRS = [("field", folder)]
    finders.get_finder.cache_clear()
    field._FOLDER = Path(folder)
    # Built again, so that its list of files is that of the other folder.
    application = get_wsgi_application()
else:
    application = wsgi.application
