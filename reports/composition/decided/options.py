"""The options of a machine as its pages show them, and what goes for all of them."""

from django.utils.translation import gettext as _

from inspections.decisions.records import OptionKind, Possible
from inspections.models import OptionSet, PlannedWork
from inspections.options import saying
from reports import content
from reports.composition import reasons, stops
from reports.composition.decided import option, remarks, spoken, worth
from reports.composition.reader import Reader
from reports.queries import MachineRecord


def options_of(
    facts: MachineRecord, *, reader: Reader
) -> tuple[content.PrintedOption, ...]:
    """Return every option in its order; none where none was worked out."""
    if facts.options is None:
        return ()
    chosen = {row.kind for row in facts.planned}
    contradicted = stops.contradiction(facts, reader=reader)
    return tuple(
        option.option_of(
            said,
            reader=reader,
            is_chosen=said["kind"] in chosen,
            contradicted=contradicted,
            remark=remarks.at_last(said["kind"], facts.snapshot.works, reader=reader),
            worth_of=tuple(worth.rows(facts, reader=reader))
            if said["kind"] == OptionKind.MEASURE_FIRST
            else (),
        )
        for said in facts.options.options
    )


def recommendation(facts: MachineRecord, *, reader: Reader) -> str:
    """Return what was chosen, or else advised, or why nothing is advised."""
    if facts.planned:
        return " ".join(_planned(row, reader=reader) for row in facts.planned)
    if facts.options is None or not facts.options.options:
        return ""
    first = facts.options.options[0]
    name = spoken.kind(first["kind"], reader=reader)
    if first["recommended"]:
        return _(
            "This program advises: %(option)s. The contractor has not "
            "decided on it yet."
        ) % {"option": name}
    if first["possible"] == Possible.NOT_KNOWN and first["measure_before"]:
        return _(
            "Nothing is advised yet. First in order is to %(option)s; to decide on it "
            "this must be known: %(items)s."
        ) % {
            "option": name,
            "items": spoken.listed(
                saying.items_of(first, "measure_before"), reader=reader
            ),
        }
    return _("Nothing is advised: no option answers all that is open.")


def cautions(facts: MachineRecord, *, reader: Reader) -> tuple[str, ...]:
    """Return what must stand beside the options, each caution once."""
    if facts.options is None:
        return ()
    found = [_rests_on(facts, facts.options, reader=reader)]
    for said in facts.options.options:
        if not option.is_ruled_out(said):
            given = saying.items_of(said, "cautions")
            found += [
                reasons.item(c, reader=reader) for c in given if option.is_shared(c)
            ]
    return tuple(dict.fromkeys(found))


def _planned(row: PlannedWork, *, reader: Reader) -> str:
    """Return planned work in a sentence: chosen on which day, due when."""
    text = _("Chosen on %(chosen)s: %(option)s") % {
        "chosen": reader.day(row.chosen_at),
        "option": spoken.kind(row.kind, reader=reader),
    }
    if row.due_before_on:
        text += ", " + _("to be done before %(day)s") % {
            "day": reader.day(row.due_before_on)
        }
    if row.still_to_order_by_on:
        text += ", " + _("to be ordered by %(day)s") % {
            "day": reader.day(row.still_to_order_by_on)
        }
    return f"{text} ({_(str(row.get_state_display()))})."


def _rests_on(facts: MachineRecord, stored: OptionSet, *, reader: Reader) -> str:
    """Return of which day the options are, and whether they are older than findings."""
    text = _("Options worked out on %(day)s.") % {"day": reader.day(stored.as_of)}
    latest = facts.assessment.pk if facts.assessment else None
    if stored.facts.get("assessment") == latest:
        return text
    return (
        text
        + " "
        + _("They rest on an assessment before the one shown here and may change.")
    )
