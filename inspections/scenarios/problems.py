"""Why a change is not tried; nothing is worked out then."""

from fleet.platform.errors import Conflict, Unprocessable


class NotTried(Unprocessable):
    """The change is not one of the list, or lies outside what the physics holds for."""

    code = "out-of-range"


class NotKnownEnough(Conflict):
    """What the change starts from is not known of the machine."""

    code = "not-known-enough"


class NameTaken(Conflict):
    """The machine has a scenario of that name."""

    code = "name-taken"


class TooMany(Conflict):
    """The machine has as many scenarios as are kept: none is worked out for keeping."""

    code = "too-many"
