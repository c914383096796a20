"""The closed lists of the register. Values are stored; labels are for people."""

from django.db import models
from django.utils.translation import gettext_lazy as _


class UnitFamily(models.TextChoices):
    METRIC = "METRIC", _("millimetres, newtons, kilograms")
    INCH = "INCH", _("inches, pounds")


class Paper(models.TextChoices):
    A4 = "A4", "A4"
    LETTER = "LETTER", "Letter"


class DriveKind(models.TextChoices):
    GEARED = "GEARED", _("geared")
    GEARLESS = "GEARLESS", _("gearless")


class Wrap(models.TextChoices):
    SINGLE = "SINGLE", _("single wrap")
    DOUBLE = "DOUBLE", _("double wrap")


class StalledDrive(models.TextChoices):
    """What happens when car or counterweight has landed and the drive turns on."""

    ROPE_MUST_SLIP = "ROPE_MUST_SLIP", _("the ropes must slip")
    DRIVE_STALLS = "DRIVE_STALLS", _("the drive itself stalls")
    SAFETY_DEVICE = "SAFETY_DEVICE", _("an electric safety device stops the drive")
    UNKNOWN = "UNKNOWN", _("not known")


class GrooveForm(models.TextChoices):
    ROUND = "ROUND", _("round")
    V = "V", _("V")
    UNDERCUT = "UNDERCUT", _("undercut")


class SurfaceKind(models.TextChoices):
    """What the rope runs on; only bare metal is assessed."""

    BARE = "BARE", _("bare metal")
    LINED = "LINED", _("lined")


class RimConstruction(models.TextChoices):
    SOLID_CAST = "SOLID_CAST", _("solid cast")
    BOLTED = "BOLTED", _("bolted, renewable")
    WELDED = "WELDED", _("welded")


class DraftDirection(models.TextChoices):
    """Where the rim is thicker because of the underside's taper."""

    THICKER_AT_GROOVE_ONE = "THICKER_AT_GROOVE_ONE", _("thicker at groove 1")
    THICKER_AT_LAST_GROOVE = "THICKER_AT_LAST_GROOVE", _("thicker at the last groove")
    UNKNOWN = "UNKNOWN", _("not known")


class PulleyKind(models.TextChoices):
    DEFLECTOR = "DEFLECTOR", _("deflector")
    SECONDARY = "SECONDARY", _("secondary sheave")
    CAR = "CAR", _("car pulley")
    COUNTERWEIGHT = "COUNTERWEIGHT", _("counterweight pulley")
    DIVERTER = "DIVERTER", _("diverter")


class Bend(models.TextChoices):
    SIMPLE = "SIMPLE", _("simple")
    REVERSE = "REVERSE", _("reverse")


class RopeCore(models.TextChoices):
    FIBRE = "FIBRE", _("fibre core")
    STEEL = "STEEL", _("steel core")


class StrandClass(models.TextChoices):
    SIX_BY_19 = "6x19", "6x19"
    EIGHT_BY_19 = "8x19", "8x19"
    NINE_BY_19 = "9x19", "9x19"


class SuspensionKind(models.TextChoices):
    """Only bare steel wire ropes are assessed; the others are registered."""

    STEEL_ROPE = "STEEL_ROPE", _("steel wire rope")
    COATED_ROPE = "COATED_ROPE", _("coated rope")
    BELT = "BELT", _("belt")


class WorkKind(models.TextChoices):
    ROPING = "ROPING", _("re-roping")
    SHORTENING = "SHORTENING", _("shortening")
    EQUALISING = "EQUALISING", _("equalising")
    REGROOVING = "REGROOVING", _("regrooving")
    RIM_RENEWAL = "RIM_RENEWAL", _("renewing the rim")
    SHEAVE_REPLACEMENT = "SHEAVE_REPLACEMENT", _("sheave replacement")
    LUBRICATION = "LUBRICATION", _("lubrication")
    REPAIR = "REPAIR", _("repair of a part")
