"""Why a stop is not released as asked."""

from fleet.platform.errors import Conflict, Unprocessable


class NotCompetent(Conflict):
    """Only a member marked competent, and not past the day until, ends a stop."""

    code = "not-competent"


class OwnWork(Conflict):
    """Whoever did the work, or read it as left, does not accept it."""

    code = "own-work"


class AlreadyReleased(Conflict):
    """The stop has ended already."""

    code = "already-released"


class DoesNotAnswer(Unprocessable):
    """This work is not what answers the stop's cause."""

    code = "does-not-answer"


class NotReadAsLeft(Unprocessable):
    """What raised the stop was not read again within its limits, at its place."""

    code = "not-read-as-left"


class NotJudgedAnew(Conflict):
    """The machine has not been assessed with what was read as left."""

    code = "not-judged-anew"


class StillStops(Conflict):
    """What was read since still takes the machine out of service."""

    code = "still-stops"


class LookAgain(Unprocessable):
    """A crack, slip, brake or fastening is refuted by a new reading on site only."""

    code = "look-again"


class NotItsReading(Unprocessable):
    """The stop does not rest on this reading."""

    code = "not-its-reading"
