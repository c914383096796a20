"""What a cut has to fulfil, each by itself."""

from enum import StrEnum

from inspections.engineering.traction.rules import LoadCase


class Demand(StrEnum):
    """One thing that a cut has to fulfil over the life of its seats.

    FORM: the code allows the form, and rope and groove fit. The load cases: the rope
    holds, or slips where it must, with the margin chosen. RIM: the metal left.
    """

    FORM = "FORM"
    LOADING = "LOADING"
    BRAKING_FULL = "BRAKING_FULL"
    BRAKING_EMPTY = "BRAKING_EMPTY"
    STALLED_COUNTERWEIGHT = "STALLED_COUNTERWEIGHT"
    STALLED_CAR = "STALLED_CAR"
    PRESSURE = "PRESSURE"
    SAFETY_FACTOR = "SAFETY_FACTOR"
    DIAMETER_RATIO = "DIAMETER_RATIO"
    RIM = "RIM"


OF_CASE = {case: Demand(case.value) for case in LoadCase}
