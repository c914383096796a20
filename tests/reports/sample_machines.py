"""Invented machines: about to bottom, losing traction, hardly known."""

from dataclasses import replace

from reports import content
from reports.content import PrintedGrade
from tests.reports import sample_figures as figures


def undercut_machine() -> content.MachinePages:
    """Return a machine whose rope is about to touch the bottom of the slot."""
    return content.MachinePages(
        code="M-01",
        name="Passenger lift, north stair",
        place="Machine room above the 7th floor",
        grade=PrintedGrade.ACT_NOW,
        summary="In groove 3 the rope stands 0.4 mm above the bottom of its slot. When "
        "it touches, it loses about a quarter of its grip within a few hundredths "
        "of a millimetre. Take this machine out of service until a competent "
        "person decides.",
        description=(
            content.Row(label="Drive", value="geared, 1:1, single wrap of 162°"),
            content.Row(label="Rated load, speed", value="630 kg, 1.0 m/s"),
            content.Row(label="Sheave", value="grey cast iron, 600 mm as new"),
            content.Row(label="Groove", value="undercut 95°, mouth 30°, 5 grooves"),
            content.Row(label="Ropes", value="5 × 13 mm, 8 strands, fibre core"),
            content.Row(label="Last visit", value="12 November 2026"),
            content.Row(label="Trips a day", value="about 410 (counter)"),
        ),
        findings=(
            content.PrintedFinding(
                what="Rope diameter",
                where="rope 3, station 2",
                grade=PrintedGrade.KEEP_AN_EYE_ON,
                value="12.4 mm",
                limit="12.22 mm at least",
                margin="0.18 mm",
                meaning="The thinnest of two diameters at right angles.",
                criterion="Diameter not below nominal less 6 %",
                source="ISO 4344, informative annex",
                how_sure="edition from memory",
                readings=("R4",),
            ),
            content.PrintedFinding(
                what="Clearance under the rope in the slot",
                where="groove 3, mark B",
                grade=PrintedGrade.ACT_NOW,
                value="0.4 mm ± 0.15 mm",
                limit="more than 0.5 mm",
                margin="−0.1 mm",
                meaning="Nearly nothing is left between rope and slot. The other "
                "grooves of the set follow within a year at today's rate.",
                criterion="Act before the rope touches the bottom of the slot",
                source="Own derivation from the groove's geometry; no published limit",
                how_sure="derived, no source",
                readings=("R1", "R2"),
                cautions=(
                    "Out of service until a competent person decides. Tell the owner "
                    "and the inspector today.",
                ),
            ),
            content.PrintedFinding(
                what="Spread of rope tensions",
                where="rope set 2",
                grade=PrintedGrade.PLAN_WORK,
                value="37 % between tightest and slackest",
                limit="10 % of the lowest",
                margin="−27 %",
                meaning="Rope 3 carries too much and wears its groove faster.",
                criterion="Difference within 10 % of the lowest tension",
                source="Common practice, no source",
                how_sure="common practice, no source",
                readings=("R5",),
            ),
            content.PrintedFinding(
                what="Traction, car loaded with 125 %",
                where="drive sheave",
                grade=PrintedGrade.IN_ORDER,
                value="uses 78 % of what holds",
                limit="100 %",
                margin="22 %",
                meaning="Holds only while the rope does not touch the slot's bottom.",
                criterion="T1/T2 ≤ e^(f·α)",
                source="EN 81-50:2020, 5.11.2",
                how_sure="formula confirmed; friction by convention of the code",
                readings=("R1", "R2", "R3"),
            ),
        ),
        groove_sections=(figures.undercut_section(),),
        wear_curves=(figures.clearance_curve(),),
        rim=figures.rim(),
        tensions=figures.tensions(),
        rope_table=content.Table(
            title="Rope set 2, fitted 2 May 2023",
            columns=(
                content.Column(heading="Rope", share=0.6),
                content.Column(heading="Diameter [mm]", align=content.Align.RIGHT),
                content.Column(heading="Breaks, worst lay", align=content.Align.RIGHT),
                content.Column(heading="Rouge"),
                content.Column(heading="Lubrication"),
            ),
            rows=tuple(
                (str(n), f"{12.7 - 0.1 * (n == 3):.1f}", str(n % 3), "none", "smudge")
                for n in range(1, 6)
            ),
            note="Worst place of three stations.",
        ),
        not_assessed=(
            content.NotAssessed(
                what="Hardness of the rim",
                reason="No hardness reading",
                remedy="Portable tester on the rim lands, 10 minutes",
            ),
        ),
        readings=content.Table(
            title="M-01  Passenger lift, north stair",
            columns=(
                content.Column(heading="No.", share=0.5),
                content.Column(heading="What", share=1.6),
                content.Column(heading="Where", share=1.4),
                content.Column(heading="As read", align=content.Align.RIGHT),
                content.Column(heading="Taken", share=1.2),
                content.Column(heading="Gauge", share=1.3),
            ),
            rows=(
                (
                    "R1",
                    "rope crown height",
                    "groove 3, mark B",
                    "0.7 mm",
                    "12 Nov 2026",
                    "bridge depth gauge",
                ),
                (
                    "R2",
                    "groove bottom depth",
                    "groove 3, mark B",
                    "0.500 in",
                    "12 Nov 2026",
                    "depth blade",
                ),
                (
                    "R3",
                    "wrap offset",
                    "sheave to deflector",
                    "300 mm",
                    "3 Mar 2024",
                    "tape",
                ),
                (
                    "R4",
                    "rope diameter",
                    "rope 3, station 2",
                    "12.4 mm",
                    "12 Nov 2026",
                    "plate calliper",
                ),
                (
                    "R5",
                    "rope tension",
                    "all ropes",
                    "4.3 to 5.9 kN",
                    "12 Nov 2026",
                    "force gauge",
                ),
            ),
        ),
        options=(
            content.PrintedOption(
                name="Regroove, renew the ropes",
                addresses="clearance, uneven grooves",
                plan_before="now",
                cost="not estimated",
                consequence="pitch diameter 591 mm, car speed 1.5 % lower",
                blocked="least metal the maker allows is not recorded; no crack check",
                is_recommended=False,
            ),
            content.PrintedOption(
                name="Replace the sheave, renew the ropes",
                addresses="clearance, uneven grooves, rim metal",
                plan_before="now",
                cost="not estimated",
                consequence="four weeks until a sheave is delivered",
                blocked="",
                is_recommended=True,
                possible="yes, by what was read and registered",
                order_by="3 July 2026",
                leaves_open="counterweight run-by",
                measure_before="how the sheave is fastened on its shaft",
                is_chosen=True,
            ),
            content.PrintedOption(
                name="Equalise the rope tensions",
                addresses="",
                plan_before="",
                cost="EUR 300 to 420, likely 360",
                consequence="",
                blocked="",
                is_recommended=False,
                pointless="the ropes are to be renewed, and a new set is set equal",
            ),
        ),
        options_cautions=(
            "Only by competent persons: isolate and lock out, prove dead.",
        ),
        recommendation="replace the sheave together with the ropes, because the metal "
        "under groove 1 after a cut is not confirmed.",
    )


def v_machine() -> content.MachinePages:
    """Return a machine with V grooves that loses traction."""
    return replace(
        undercut_machine(),
        code="M-02",
        name="Παλιό ασανσέρ εμπορευμάτων, νότια πτέρυγα",
        grade=PrintedGrade.PLAN_WORK,
        summary="The seats in the V grooves are 1.9 mm deep. The braking calculation "
        "closes up to 2.74 mm; that depth is itself uncertain by 0.43 mm.",
        findings=(
            content.PrintedFinding(
                what="Traction when braking",
                where="groove 1, mark A",
                grade=PrintedGrade.PLAN_WORK,
                value="uses 93 % of what holds",
                limit="100 %",
                margin="7 %",
                meaning="Every tenth of a millimetre of wear takes grip away.",
                criterion="T1/T2 ≤ e^(f·α)",
                source="EN 81-50:2020, 5.11.2",
                how_sure="formula confirmed; masses from the plate",
                readings=("R6",),
            ),
        ),
        groove_sections=(figures.v_section(),),
        wear_curves=(figures.seat_curve(),),
        rim=None,
        tensions=None,
        rope_table=None,
        options=(),
        recommendation="",
        readings=None,
    )


def bare_machine() -> content.MachinePages:
    """Return a machine about which almost nothing is known."""
    return content.MachinePages(
        code="M-03",
        name="Thang máy tầng hầm, khu nhà phía đông",
        place="Basement",
        grade=PrintedGrade.NOT_ASSESSED,
        summary="One visit, one reading. Nothing can be said about the grooves.",
        description=(content.Row(label="Drive", value="gearless, 2:1"),),
        findings=(),
        groove_sections=(),
        wear_curves=(),
        rim=None,
        tensions=None,
        rope_table=None,
        not_assessed=(
            content.NotAssessed(
                what="Traction, all load cases",
                reason="car mass and counterweight mass are not in the register",
                remedy="balance and masses, 1 to 2 hours",
            ),
            content.NotAssessed(
                what="Groove wear",
                reason="no reading as new and no groove bottom depth",
                remedy="groove bottom depth with a depth blade, 8 minutes",
            ),
        ),
        readings=None,
    )
