"""The fixed words of every document, in the reader's language.

The defaults are the English texts. Whoever composes a document for another
language replaces every field by its translation; drawing translates nothing.
"""

from dataclasses import dataclass, replace

from reports.content.grade import PrintedGrade


def gettext_noop(text: str) -> str:
    """Mark an English text for translation tools, which look for this name."""
    return text


@dataclass(frozen=True, slots=True, kw_only=True)
class Wording:
    """Headings and labels. Names in braces are filled in while drawing."""

    decimal_mark: str = "."
    grade_in_order: str = gettext_noop("nothing found in the checks made")
    grade_keep_an_eye_on: str = gettext_noop("monitor")
    grade_plan_work: str = gettext_noop("plan work")
    grade_act_now: str = gettext_noop("act now")
    grade_not_assessed: str = gettext_noop("not known")

    page_of: str = gettext_noop("Page {page} of {total}")
    revision: str = gettext_noop("revision {revision}")
    supersedes: str = gettext_noop("replaces {number}")
    content_checksum: str = gettext_noop("content sha256 {checksum}")
    page_of_document: str = gettext_noop("This document's page: {address}")
    prepared_for: str = gettext_noop("Prepared for")
    prepared_by: str = gettext_noop("Prepared by")
    place: str = gettext_noop("Building")
    period: str = gettext_noop("Period")
    issued: str = gettext_noop("Issued")
    please_read: str = gettext_noop("Please read this first")

    at_a_glance: str = gettext_noop("At a glance")
    decisions: str = gettext_noop("What must be decided")
    machine: str = gettext_noop("Machine")
    matter: str = gettext_noop("Matter")
    plan_before: str = gettext_noop("Plan before")
    chance: str = gettext_noop("Chance that a limit is reached before")
    cost: str = gettext_noop("May cost")

    what_it_is: str = gettext_noop("Machine data")
    findings: str = gettext_noop("Findings, most urgent first")
    no_findings: str = gettext_noop(
        "No finding asks for anything. Checks that were made stand in the appendix, "
        "those that were not stand below."
    )
    value: str = gettext_noop("Read or calculated")
    limit: str = gettext_noop("Limit")
    margin: str = gettext_noop("Margin")
    criterion: str = gettext_noop("Criterion")
    source: str = gettext_noop("Source")
    how_sure: str = gettext_noop("How sure")
    readings: str = gettext_noop("Readings")
    groove_sections: str = gettext_noop("The groove, as new and as worn")
    wear_curves: str = gettext_noop("How it wore, and where it is heading")
    rim: str = gettext_noop("Metal under the grooves")
    tensions: str = gettext_noop("How the ropes share the load")
    rope_set: str = gettext_noop("Rope set")
    options: str = gettext_noop("What can be done")
    recommendation: str = gettext_noop(
        "Advised by this program, or chosen by the contractor"
    )
    addresses: str = gettext_noop("Addresses")
    possible: str = gettext_noop("Possible")
    order_by: str = gettext_noop("Order by")
    advice: str = gettext_noop("Advised or chosen")
    leaves_open: str = gettext_noop("Leaves open")
    measure_before: str = gettext_noop("To be known first")
    pointless: str = gettext_noop("Would not help, because")
    chosen: str = gettext_noop("chosen")
    consequence: str = gettext_noop("Comes with it")
    blocked: str = gettext_noop("Not available now, because")
    not_open: str = gettext_noop("Not available, or no benefit now")
    recommended: str = gettext_noop("advised by this program")
    not_assessed: str = gettext_noop("What was not assessed, and why")
    reason: str = gettext_noop("Reason")
    remedy: str = gettext_noop("What would close the gap")
    strip_beyond: str = gettext_noop("now beyond its limit: {beyond}")
    strip_both: str = gettext_noop("{beyond}; the bar: {bar}")
    lifts: str = gettext_noop("Your lifts")
    state: str = gettext_noop("State")
    measured: str = gettext_noop("Measured")
    says_most: str = gettext_noop("What says most")
    do_this: str = gettext_noop("What to do")
    answer_by: str = gettext_noop("Answer by")
    annex: str = gettext_noop("Technical annex")
    annex_for: str = gettext_noop(
        "For the maintenance company and the inspector: every finding with its numbers "
        "and sources, figures, options, readings, criteria and method. Sources and "
        "what somebody typed stand in the language they were noted in."
    )
    in_annex: str = gettext_noop(
        "All findings, figures and options of this lift stand in the technical annex."
    )
    read_against: str = gettext_noop("{value}; limit {limit}")
    more_findings: str = gettext_noop("{count} more in the technical annex.")
    no_machines: str = gettext_noop("No machine of this place was in service.")

    legend_new: str = gettext_noop("as new")
    legend_worn: str = gettext_noop("as worn")
    legend_lost: str = gettext_noop("metal worn away")
    legend_contact: str = gettext_noop("rope touches here")
    legend_rope: str = gettext_noop("rope")
    legend_reading: str = gettext_noop("reading, with its uncertainty")
    legend_limit: str = gettext_noop("limit, with its uncertainty")
    legend_median: str = gettext_noop("forecast, median")
    legend_band: str = gettext_noop("80 % of forecasts fall in here")
    legend_outside: str = gettext_noop("outside the band allowed")
    legend_cut: str = gettext_noop("after a cut")
    legend_thinnest: str = gettext_noop("thinnest")
    legend_thickest_underside: str = gettext_noop(
        "underside at the thickest mark round the wheel"
    )
    legend_least_metal: str = gettext_noop("the maker's least metal ends here")
    scale: str = gettext_noop("drawn {scale} on the printed page")
    today: str = gettext_noop("report")

    checks_appendix: str = gettext_noop("Every check, with its value and limit")
    readings_appendix: str = gettext_noop("Readings behind the findings")
    photos: str = gettext_noop("Photos of the visits")
    readings_note: str = gettext_noop(
        "The newest readings behind each finding, with values and units as they were "
        "typed, not converted; in brackets the number that findings name."
    )
    grade_found_nothing: str = gettext_noop("nothing found")
    criteria: str = gettext_noop("Criteria and their sources")
    status: str = gettext_noop("How the source was checked")
    tried: str = gettext_noop("Changes that were tried on paper")
    tried_note: str = gettext_noop(
        "Each is a calculation of a change that was not made, which the contractor "
        "chose to show. Nothing of it is in the findings, grades or dates of this "
        "report. It is not an order or an inspection and does not authorise operation."
    )
    tried_caution: str = gettext_noop(
        "Before any work: isolate, lock out and prove dead; land and secure the "
        "counterweight and suspend the car independently; competent persons only."
    )
    glossary: str = gettext_noop("Glossary")
    method: str = gettext_noop("How it is worked out")
    cautions: str = gettext_noop("Cautions")
    versions: str = gettext_noop("How this document was made")

    to_measure: str = gettext_noop("To measure, in this order")
    time_budget: str = gettext_noop("Time")
    last_value: str = gettext_noop("Last")
    due_because: str = gettext_noop("Due")
    technician: str = gettext_noop("Technician")
    visited_on: str = gettext_noop("Date and time")
    gauge_number: str = gettext_noop("Gauge no.")
    remarks: str = gettext_noop("Remarks")

    overdue: str = gettext_noop("Overdue for measuring")
    open_findings: str = gettext_noop("Open findings")
    forecast_record: str = gettext_noop("How good the forecasts were")
    worklist: str = gettext_noop("Worklist")
    budget: str = gettext_noop("Budget")
    due_by_building: str = gettext_noop("Due by building")
    due_by_part: str = gettext_noop("To order, by part")
    nothing_here: str = gettext_noop("Nothing to list.")

    work_done: str = gettext_noop("Work done")
    as_left: str = gettext_noop("Readings as left")
    tests_made: str = gettext_noop("Tests made, and by whom")
    acceptance: str = gettext_noop("Acceptance by the inspector")
    rope_tag: str = gettext_noop("Rope data for the tag")

    not_known: str = gettext_noop("What is not known")
    not_placed: str = gettext_noop("Why it may not be placed yet")
    section_to_turn: str = gettext_noop("The groove to be turned")
    legend_to_turn: str = gettext_noop("as to be turned")
    legend_as_it_is: str = gettext_noop("as it is, with the deepest seat")
    legend_turned_away: str = gettext_noop("metal to be turned away")
    supplier: str = gettext_noop("The supplier")
    sign: str = gettext_noop("The shop")

    def of_grade(self, grade: PrintedGrade) -> str:
        """Return the words for a grade."""
        return str(getattr(self, f"grade_{grade.value.lower()}"))

    def to_turn(self) -> "Wording":
        """Return the wording of a groove section that shows what is to be turned."""
        return replace(
            self,
            legend_new=self.legend_as_it_is,
            legend_worn=self.legend_to_turn,
            legend_lost=self.legend_turned_away,
        )
