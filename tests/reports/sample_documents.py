"""Invented samples of the other documents: sheet, review, service record."""

from dataclasses import replace

from reports import content
from tests.reports import sample_content, sample_figures


def masthead(*, kind: str, title: str, number: str) -> content.Masthead:
    """Return the sample masthead for another kind of document."""
    return replace(
        sample_content.masthead(),
        kind=kind,
        title=title,
        number=number,
        revision=1,
        supersedes=None,
    )


def table(title: str, headings: str, *rows: str) -> content.Table:
    """Return a table from texts separated by bars."""
    return content.Table(
        title=title,
        columns=tuple(content.Column(heading=text) for text in headings.split("|")),
        rows=tuple(tuple(row.split("|")) for row in rows),
    )


def field_sheet() -> content.FieldSheet:
    """Return a sheet with five things to measure."""
    grooves = tuple(
        content.SheetBox(label=f"groove {n}, mark A", last=f"{0.7 + 0.1 * n:.1f} mm")
        for n in range(1, 6)
    )
    ropes = tuple(
        content.SheetBox(label=f"rope {n}, direction {side}", last="12.6 mm")
        for n in range(1, 6)
        for side in (1, 2)
    )
    return content.FieldSheet(
        masthead=masthead(
            kind="Field sheet", title="Visit to M-01", number="FS-2026-0107"
        ),
        wording=content.Wording(),
        machine_code="M-01",
        machine_name="Passenger lift, north stair, Κτίριο Ανεμώνη",
        qr_text="M-01",
        time_budget="30 minutes",
        description=(
            content.Row(label="Groove 1", value="red dot, nearest to the gear"),
            content.Row(label="Groove", value="undercut 95°, mouth 30°, 5 grooves"),
            content.Row(label="Ropes", value="5 × 13 mm"),
        ),
        steps=(
            content.SheetStep(
                what="Rope crown above the rim",
                how="Ropes stopped and locked out. Foot of the gauge on two lands, "
                "tip on a strand crown. Below the rim: write a minus.",
                gauge="bridge depth gauge",
                time="8 min",
                limit="fall of more than 0.3 mm since last: measure again",
                unit="mm",
                boxes=grooves,
            ),
            content.SheetStep(
                what="Rope diameter",
                how="Two diameters at right angles on the straight run, worst place.",
                gauge="plate calliper",
                time="5 min",
                limit="12.22 mm at least",
                unit="mm",
                boxes=ropes,
            ),
            content.SheetStep(
                what="Broken wires in the worst lay",
                how="By eye and rag on stopped ropes; never a hand on a moving rope.",
                gauge="eye and cloth",
                time="7 min",
                limit="more than 12 in a lay",
                unit="count",
                boxes=tuple(
                    content.SheetBox(label=f"rope {n}", last="0") for n in range(1, 6)
                ),
            ),
            content.SheetStep(
                what="Counterweight run-by",
                how="Car at the top landing.",
                gauge="tape",
                time="3 min",
                limit="more than 50 mm",
                unit="mm",
                boxes=(content.SheetBox(label="pit", last="185 mm"),),
            ),
        ),
    )


def portfolio_review() -> content.PortfolioReview:
    """Return a review of the sample portfolio."""
    strip = sample_content.summary().strip
    return content.PortfolioReview(
        masthead=masthead(
            kind="Portfolio review", title="All machines", number="PR-2026-0003"
        ),
        wording=content.Wording(),
        headline="Two machines are overdue for measuring, three findings are open.",
        figures=(
            content.Row(label="machines in service", value="214"),
            content.Row(label="overdue for measuring", value="2"),
            content.Row(label="open findings", value="3"),
            content.Row(
                label="forecasts that came true within their band", value="81 %"
            ),
            content.Row(label="checks not made", value="37"),
        ),
        strip=strip,
        overdue=table(
            "Overdue for measuring",
            "Machine|Last visit|Due|Late by",
            "M-02 Παλιό ασανσέρ|3 March 2026|3 September 2026|82 days",
            "M-03 Thang máy tầng hầm|none|1 July 2026|146 days",
        ),
        open_findings=table(
            "Open findings",
            "Machine|Finding|Value|Limit|Open since",
            "M-01|clearance in the slot|0.4 mm|more than 0.5 mm|12 Nov 2026",
        ),
        forecast_record=table(
            "How good the forecasts were",
            "Quantity|Forecasts|Within the band|Expected",
            "Seat depth|140|113|112",
            "Rope diameter|96|71|77",
        ),
        forecast_remarks=("Rope diameter: the bands were a little too narrow.",),
        worklist=table(
            "Worklist",
            "Due|Order by|Machine|Work|May cost",
            "before 12 May 2027|3 March 2027|M-01|re-rope|EUR 5,900 to 11,900",
        ),
        by_building=table(
            "Due by building",
            "Building|Works|To be done together",
            "Κτίριο Ανεμώνη|2|M-01, M-02 before 12 May 2027",
        ),
        by_part=table("To order, by part", "Part|Ropes", "rope 13.0 mm, 8x19|10"),
        budget=table(
            "Budget",
            "Quarter|Cost, expected|Cost, P10 to P90",
            "2027, quarter 2|EUR 11,200|EUR 7,200 to 22,300",
            "all 12 quarters|EUR 45,100|EUR 40,100 to 51,000",
        ),
        budget_remarks=("Quarters' P10 and P90 do not add up.",),
    )


def return_to_service() -> content.ReturnToService:
    """Return a record of a re-roping."""
    return content.ReturnToService(
        masthead=masthead(
            kind="Return-to-service record",
            title="Regrooving and new ropes, M-01",
            number="RS-2026-0011",
        ),
        wording=content.Wording(),
        machine_code="M-01",
        machine_name="Passenger lift, north stair",
        summary="All five grooves were cut to one depth and five new ropes fitted.",
        description=(content.Row(label="Sheave", value="591 mm after the cut"),),
        work_done=table(
            "Work done",
            "Work|By|On",
            "Regrooving|Łukasz (invented)|1 December 2026",
            "Re-roping|Łukasz (invented)|2 December 2026",
        ),
        as_left=table(
            "Readings as left",
            "What|Where|Value",
            "rope crown height|groove 1, mark A|3.4 mm",
            "rope tension|all ropes|4.6 to 4.8 kN",
        ),
        tests_made=table(
            "Tests made, and by whom",
            "Test|Result|By",
            "slip test, empty car, 10 runs|no slip seen|Łukasz (invented)",
            "crack check|pass|not seen",
        ),
        rope_tag=(
            content.Row(label="Rope", value="5 × 13 mm, 8 strands, fibre core"),
            content.Row(label="Breaking force", value="74.3 kN (certificate)"),
            content.Row(label="Fitted", value="2 December 2026"),
        ),
        acceptance=content.Acceptance(
            statement="To be filled in by the inspector alone. Until then this record "
            "says what was done, not that it was accepted.",
            lines=(
                content.Row(label="Inspector", value=""),
                content.Row(label="Authority", value=""),
                content.Row(label="Accepted, refused, with conditions", value=""),
                content.Row(label="Date and signature", value=""),
            ),
        ),
    )


def regroove_sheet() -> content.RegrooveSheet:
    """Return the order of a cut of which not everything is known."""
    return content.RegrooveSheet(
        masthead=masthead(
            kind="Regroove order",
            title="Grooves of M-01, to be turned",
            number="RO-2026-0002",
        ),
        wording=content.Wording(),
        machine_code="M-01",
        machine_name="Passenger lift, north stair",
        may_be_placed=False,
        headline="This order may not be placed yet.",
        because=("groove 5 keeps 16.2 mm in the worst case, less than 18.0 mm",),
        not_known=("crack check", "hardness"),
        description=(
            content.Row(label="Work", value="regroove in the shop and re-rope"),
            content.Row(label="Ropes", value="5 × 13 mm, 8 strands, fibre core"),
        ),
        cut=table(
            "What to turn, and what must stay",
            "What|Value|From, to|Where it is from",
            "seat radius, never smaller|6.60 mm|6.60 mm to 6.70 mm|the register",
            "pitch of the grooves|22.00 mm|21.80 mm to 22.20 mm|the register",
        ),
        grooves=table(
            "Groove by groove",
            "Groove|Seat depth|To turn at the seat|Remark",
            "1|1.10 mm|1.90 mm|",
            "2|1.40 mm|1.60 mm|deepest seat",
        ),
        section=sample_figures.undercut_section(),
        before_turning=table(
            "Before the first cut", "What|Source|Found", "crack check|practice|"
        ),
        after_turning=table(
            "To measure after turning",
            "What|Source|Found",
            "run-out of every seat: at most D/2000|GB/T 24478-2009 (from memory)|",
        ),
        sign=content.Acceptance(
            statement="Filled in by the shop.",
            lines=(
                content.Row(label="Shop", value=""),
                content.Row(label="Date and signature", value=""),
            ),
        ),
        cautions=("It is not an inspection and does not authorise operation.",),
    )


def rope_order() -> content.RopeOrder:
    """Return the order of a rope set whose length nobody has measured."""
    return content.RopeOrder(
        masthead=masthead(
            kind="Rope order", title="Ropes of M-01", number="RP-2026-0003"
        ),
        wording=content.Wording(),
        machine_code="M-01",
        machine_name="Passenger lift, north stair",
        may_be_placed=False,
        headline="This order may not be placed yet.",
        because=("A new rope would be pinched in its seat.",),
        not_known=("length of a rope: to be measured on site",),
        description=(content.Row(label="Ropes", value="5 × 13 mm, fibre core"),),
        to_order=table(
            "What to order",
            "What|Value|Where it is from|Offered",
            "Number of ropes|5|the register|",
            "Breaking force of one rope|at least 74.30 kN|the register|",
        ),
        ropes=table(
            "Rope by rope",
            "Rope|Runs in groove|Hitch at the car|Length to cut, measured",
            "1|1|wedge socket|",
        ),
        before_fitting=table("Before", "What|Source|Found", "one reel|practice|"),
        after_fitting=None,
        sign=content.Acceptance(
            statement="Filled in by the supplier.",
            lines=(content.Row(label="Supplier", value=""),),
        ),
        cautions=("This is not an order.",),
    )
