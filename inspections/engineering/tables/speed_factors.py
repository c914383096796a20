"""Required safety factors by rope speed of the A17 family, in feet per minute."""

from inspections.engineering.source import Certainty, Source
from inspections.engineering.tables.row import PrintedTable, rows

_PENNSYLVANIA = Source(
    document="34 Pa. Code",
    clause="7.56(c)",
    certainty=Certainty.CONFIRMED,
)
_WASHINGTON = Source(
    document="WAC 296-155-77105",
    clause="(r)",
    certainty=Certainty.CONFIRMED,
)
_FREIGHT = Source(
    document="34 Pa. Code",
    clause="7.280(c)",
    certainty=Certainty.CONFIRMED,
)

# That both equal the passenger column of ASME A17.1 table 2.20.3 is from memory.
PASSENGER = PrintedTable(
    argument="rope_speed_ft_min",
    rows=tuple(
        sorted(
            rows(
                source=_PENNSYLVANIA,
                values={
                    50: 7.60,
                    100: 7.95,
                    150: 8.25,
                    200: 8.60,
                    250: 8.90,
                    300: 9.20,
                    350: 9.50,
                    400: 9.75,
                    450: 10.00,
                    500: 10.25,
                    600: 10.70,
                    700: 11.00,
                    800: 11.25,
                    900: 11.45,
                    1000: 11.55,
                    1200: 11.80,
                    1400: 11.90,
                    1500: 11.90,
                },
            )
            + rows(
                source=_WASHINGTON,
                values={75: 7.75, 125: 8.10, 175: 8.40, 225: 8.75, 550: 10.45},
            ),
            key=lambda row: row.at,
        )
    ),
)

FREIGHT = PrintedTable(
    argument="rope_speed_ft_min",
    rows=rows(
        source=_FREIGHT,
        values={
            50: 6.65,
            100: 7.00,
            150: 7.30,
            200: 7.65,
            250: 7.90,
            300: 8.20,
            350: 8.45,
            400: 8.70,
            450: 8.90,
            500: 9.15,
            600: 9.50,
            700: 9.80,
            800: 10.00,
            900: 10.15,
            1000: 10.30,
            1200: 10.50,
            1400: 10.55,
            1500: 10.55,
        },
    ),
)
