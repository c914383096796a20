"""The closed lists of the platform. Values are stored; labels are for people."""

from django.db import models
from django.utils.translation import gettext_lazy as _


class Role(models.TextChoices):
    OFFICE = "OFFICE", _("office")
    TECHNICIAN = "TECHNICIAN", _("technician")
    OWNER_READER = "OWNER_READER", _("owner's reader")


class TokenScope(models.TextChoices):
    UPLOAD = "UPLOAD", _("upload readings")
    READ = "READ", _("read")
    WRITE = "WRITE", _("change the register")
    FIELD = "FIELD", _("take readings on a paired phone")


class FieldSource(models.TextChoices):
    """Where a value of the register was taken from."""

    PLATE = "PLATE", _("plate")
    DRAWING = "DRAWING", _("drawing")
    MEASURED = "MEASURED", _("measured")
    ASSUMED = "ASSUMED", _("assumed")


class JobState(models.TextChoices):
    QUEUED = "QUEUED", _("queued")
    RUNNING = "RUNNING", _("running")
    DONE = "DONE", _("done")
    FAILED = "FAILED", _("failed")
    CANCELLED = "CANCELLED", _("cancelled")
