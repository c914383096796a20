"""An invented condition report: three machines, long names, several scripts."""

from datetime import datetime, timedelta, timezone

from reports import content
from reports.content import PrintedGrade
from tests.reports import sample_figures as figures
from tests.reports import sample_machines

DEFERRAL = (
    "Local code, the authority having jurisdiction and licensed inspectors decide "
    "whether a lift may run; nothing in this report permits it. Readings are those "
    "of the days they were taken."
)
ISSUED_AT = datetime(2026, 11, 24, 9, 30, tzinfo=timezone(timedelta(hours=1)))


def masthead() -> content.Masthead:
    """Return the head of the sample report."""
    return content.Masthead(
        kind="Condition report",
        title="Sheaves and ropes at Osiedle Żółta Łąka",
        number="CR-2026-0042",
        revision=2,
        supersedes="CR-2026-0042 revision 1",
        issued_at=ISSUED_AT,
        issued="24 November 2026",
        address="reports.north.example/reports/42",
        period="July to September 2026",
        contractor=content.Party(
            name="Brzeg Północny Serwis Dźwigów (invented)",
            lines=("ul. Wymyślona 7", "00-000 Nigdzie"),
        ),
        owner=content.Party(
            name="Spółdzielnia Mieszkaniowa „Żółta Łąka” (invented)",
            lines=("Κτίριο Ανεμώνη", "Nhà Cảnh Hồng, đường Lúa Mới 14"),
        ),
        place=content.Party(
            name="Osiedle Żółta Łąka", lines=("3 machines", "Europe/Warsaw")
        ),
        language="en",
        paper=content.PaperSize.A4,
        deferral=DEFERRAL,
        released="Released by the office of the contractor on 24 November 2026 (not an "
        "inspection).",
        cautions=(
            content.Caution(
                code="C1",
                version="v1",
                text="This report says what was read and what was calculated from "
                "it. It is not an inspection and does not authorise operation.",
                reason="Stands on every report.",
                on_first_page=True,
            ),
            content.Caution(
                code="C2",
                version="v1",
                text="A check that was not made says nothing of the machine; each "
                "is listed with its reason.",
                reason="Four checks were not made.",
                on_first_page=True,
            ),
            content.Caution(
                code="C3",
                version="v2",
                text="Brakes that act on the drive sheave hold the car only as far as "
                "the grooves hold the ropes.",
                reason="Machine M-02 has little traction left.",
                on_first_page=True,
            ),
            content.Caution(
                code="C4",
                version="v1",
                text="Work on ropes and sheaves only by competent persons, isolated, "
                "locked and proved dead, with the car suspended and the counterweight "
                "landed; never a hand between rope and sheave.",
            ),
        ),
        versions=(
            content.Row(label="Criteria set", value="EN practice, edition 2026-1"),
            content.Row(label="Calculation", value="engineering 0.1.0"),
            content.Row(label="Forecast model", value="projection 0.1.0"),
        ),
    )


def _lifts() -> tuple[content.LiftLine, ...]:
    grades = content.PrintedGrade
    told = (
        ("M-01", "Passenger lift, north stair", grades.ACT_NOW, "OUT OF SERVICE"),
        ("M-02", "Παλιό ασανσέρ εμπορευμάτων", grades.PLAN_WORK, "in use, as told"),
        ("M-03", "Thang máy tầng hầm", grades.NOT_ASSESSED, "not known"),
    )
    return tuple(
        content.LiftLine(
            machine=code,
            name=name,
            grade=grade,
            state=state,
            measured="12 Nov 2026",
            says_most=f"what says most of {code}",
        )
        for code, name, grade, state in told
    )


def summary() -> content.Summary:
    """Return page one of the sample report."""
    return content.Summary(
        headline="One reading lies beyond a limit: on M-01 the rope is about to touch "
        "the bottom of its slot. On M-02 the traction calculation still closes, with "
        "little to spare. Four of 21 checks were not made.",
        answers=(
            content.AnsweredQuestion(
                question="Was anything found beyond a limit?",
                paragraphs=(
                    "Yes, one: machine M-01, groove 3. The clearance under the rope "
                    "is 0.4 mm; the set asks for more than 0.5 mm.",
                ),
            ),
            content.AnsweredQuestion(
                question="Which checks were not made?",
                paragraphs=(
                    "Four of 21: traction of M-03 (masses unknown), rim metal of M-02 "
                    "and M-03 (not surveyed), hardness of M-01.",
                ),
            ),
            content.AnsweredQuestion(
                question="What must be decided, and by when?",
                paragraphs=(
                    "M-01: out of service until a competent person decides.",
                    "M-02: plan regrooving with new ropes before March 2028.",
                ),
                machines=("M-01", "M-02"),
            ),
            content.AnsweredQuestion(
                question="What may it cost?",
                paragraphs=("Not estimated in this report.",),
            ),
            content.AnsweredQuestion(
                question="What changed since the last report?",
                paragraphs=(
                    "Clearance on M-01 fell from 0.7 to 0.4 mm. M-03 was added to "
                    "the register.",
                ),
            ),
        ),
        decisions=(
            content.Decision(
                machine="M-01",
                matter="Regroove or replace the drive sheave, renew the ropes",
                plan_before="now",
                chance="limit reached",
                cost="EUR 14,000 to 18,500, likely 16,000",
                advice="chosen: replace the sheave and re-rope",
                order_by="3 July 2026",
                answer_by="now",
            ),
            content.Decision(
                machine="M-02",
                matter="Regroove and renew the ropes",
                plan_before="March 2028",
                chance="about 1 in 10 earlier",
                cost="not estimated",
                answer_by="March 2028",
            ),
        ),
        lifts=_lifts(),
        strip=content.PortfolioStrip(
            title="When each machine may reach its first limit",
            time_axis=figures.time_axis(),
            today=content.AxisTick(
                position=figures.day(ISSUED_AT.date()), label="24 Nov 2026"
            ),
            rows=(
                content.StripRow(
                    label="M-01 North stair",
                    grade=PrintedGrade.ACT_NOW,
                    low=None,
                    median=None,
                    high=None,
                    note="beyond a limit: clearance in groove 3",
                ),
                content.StripRow(
                    label="M-02 Παλιό ασανσέρ εμπορευμάτων",
                    grade=PrintedGrade.PLAN_WORK,
                    low=figures.day(ISSUED_AT.date()) + 500,
                    median=figures.day(ISSUED_AT.date()) + 860,
                    high=figures.day(ISSUED_AT.date()) + 1110,
                    note="traction when braking",
                ),
                content.StripRow(
                    label="M-03 Thang máy tầng hầm",
                    grade=PrintedGrade.NOT_ASSESSED,
                    low=None,
                    median=None,
                    high=None,
                    note="too few readings",
                ),
            ),
            caption="The bar holds 8 of 10 courses, the stroke is the middle one.",
            description="Three machines on a time axis from 2021 to 2030.",
        ),
    )


def report() -> content.ConditionReport:
    """Return the whole sample report."""
    return content.ConditionReport(
        masthead=masthead(),
        wording=content.Wording(),
        summary=summary(),
        machines=(
            sample_machines.undercut_machine(),
            sample_machines.v_machine(),
            sample_machines.bare_machine(),
        ),
        criteria_sets=(
            content.AppliedSet(
                name="EN practice",
                edition="2026-1",
                note="Limits of this set were chosen by the contractor.",
                criteria=(
                    content.AppliedLimit(
                        name="Traction, loading and braking",
                        limit="T1/T2 ≤ e^(f·α)",
                        source="EN 81-50:2020, 5.11.2",
                        status="confirmed",
                    ),
                    content.AppliedLimit(
                        name="Rope diameter",
                        limit="not below nominal less 6 %",
                        source="ISO 4344, informative annex",
                        status="confirmed",
                    ),
                    content.AppliedLimit(
                        name="Clearance in the slot",
                        limit="more than 0.5 mm",
                        source="geometry of the groove",
                        status="derived",
                    ),
                ),
            ),
        ),
        glossary=(
            content.Row(
                label="Drive sheave", value="the grooved wheel that moves them"
            ),
            content.Row(label="Undercut", value="a groove with a slot in its bottom"),
            content.Row(
                label="Wrap", value="the angle over which rope and sheave touch"
            ),
        ),
        method=(
            content.Row(
                label="From reading to finding",
                value="The worn shape of the groove follows from the rope's crown; the "
                "friction factor follows from the arcs on which the rope still lies.",
            ),
            content.Row(
                label="From readings to a date",
                value="Rates of all grooves of a sheave are estimated together. The "
                "limit's own uncertainty is part of the date.",
            ),
        ),
    )
