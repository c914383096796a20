"""Equivalent numbers of pulleys and groove life factors."""

from inspections.engineering.source import Certainty, Source
from inspections.engineering.tables.row import PrintedTable, rows

# Neither table of the EN standards was read: both are the reciprocals of the groove
# factors that Feyrer 2015 prints in table 3.15, to one decimal.
UNDERCUT = PrintedTable(
    argument="undercut_angle_deg",
    rows=rows(
        source=Source(
            document="EN 81-50",
            edition="2014",
            clause="5.12.2.1, table 2, undercut (the same in EN 81-1:1998 annex N)",
            certainty=Certainty.DERIVED,
        ),
        values={75: 2.5, 80: 3.0, 85: 3.8, 90: 5.0, 95: 6.7, 100: 10.0, 105: 15.2},
    ),
)

V_1998 = PrintedTable(
    argument="groove_angle_deg",
    rows=rows(
        source=Source(
            document="EN 81-1",
            edition="1998",
            clause="annex N, table N.1, V",
            certainty=Certainty.DERIVED,
        ),
        values={35: 18.5, 36: 15.2, 38: 10.5, 40: 7.1, 42: 5.6, 45: 4.0},
    ),
)

V_2014 = PrintedTable(
    argument="groove_angle_deg",
    rows=rows(
        source=Source(
            document="EN 81-50",
            edition="2014",
            clause="5.12.2.1, table 2, V",
            certainty=Certainty.FROM_MEMORY,
        ),
        values={35: 18.5, 36: 16, 38: 12, 40: 10, 42: 8, 45: 6.5, 50: 5},
    ),
)

_FEYRER = Source(
    document="K. Feyrer, Wire Ropes, 2nd ed.",
    edition="2015",
    clause="table 3.15",
    certainty=Certainty.CONFIRMED,
)

UNDERCUT_LIFE = PrintedTable(
    argument="undercut_angle_deg",
    rows=rows(
        source=_FEYRER,
        values={
            75: 0.40,
            80: 0.33,
            85: 0.26,
            90: 0.20,
            95: 0.15,
            100: 0.10,
            105: 0.066,
        },
    ),
)

V_LIFE = PrintedTable(
    argument="groove_angle_deg",
    rows=rows(
        source=_FEYRER,
        values={35: 0.054, 36: 0.066, 38: 0.095, 40: 0.14, 42: 0.18, 45: 0.25},
    ),
)

SEAT_RADIUS_LIFE = PrintedTable(
    argument="seat_radius_ratio",
    rows=rows(
        source=_FEYRER,
        values={0.53: 1.0, 0.55: 0.79, 0.60: 0.66, 0.70: 0.54, 0.80: 0.51, 1.0: 0.48},
    ),
)
