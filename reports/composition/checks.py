"""The appendix of checks: every finding with its value, limit, margin and source."""

from collections.abc import Sequence
from dataclasses import replace

from django.utils.translation import gettext as _

from inspections.models import Finding, Grade
from inspections.reasons import place_of
from inspections.reasons.places import together
from reports import content
from reports.composition import findings, readings, words
from reports.composition.reader import Reader
from reports.composition.wording import wording
from reports.queries import MachineRecord


class Sources:
    """The sources of all machines of a document, each numbered once."""

    def __init__(self) -> None:
        self._numbers: dict[str, int] = {}

    def number(self, source: str) -> str:
        """Return a source's number as a line names it; a dash for no source."""
        if not source:
            return "–"
        return f"[{self._numbers.setdefault(source, len(self._numbers) + 1)}]"

    def note(self) -> str:
        """Return every source under its number."""
        named = (f"[{number}] {source}" for source, number in self._numbers.items())
        return _("Sources, and how sure: %(sources)s.") % {"sources": "; ".join(named)}


def under_the_last(
    machines: Sequence[content.MachinePages], sources: Sources
) -> tuple[content.MachinePages, ...]:
    """Return the machines with all sources under the last of their tables."""
    noted = [at for at, each in enumerate(machines) if each.checks is not None]
    found = list(machines)
    for at in noted:
        made = found[at].checks
        if made is None:
            continue
        note = sources.note()
        if at != noted[-1]:
            note = _("The sources stand under the last table of this chapter.")
        found[at] = replace(found[at], checks=replace(made, note=note))
    return tuple(found)


def table(
    facts: MachineRecord,
    *,
    title: str,
    reader: Reader,
    sources: Sources,
    contradicted: str = "",
) -> content.Table | None:
    """Return every check of one machine, one line for each criterion and limit.

    The values of all places stand in that line, so that none is left out, and when
    what it rests on was read. None where no check was made. A source stands once in
    the document, its number in each line it is of.
    """
    made = [f for f in facts.findings if f.grade != Grade.NOT_ASSESSED]
    if not made:
        return None
    rows: list[tuple[str, ...]] = []
    for group in findings.groups(made):
        rows += _lines(facts, group, reader=reader, contradicted=contradicted)
    return content.Table(
        title=title,
        columns=(
            content.Column(heading=_("Check"), share=2.9),
            content.Column(heading=_("Read or calculated"), share=2.5),
            content.Column(heading=_("Limit"), share=0.95),
            content.Column(heading=_("Least margin"), share=0.95),
            content.Column(heading=_("Grade"), share=1.55),
            content.Column(heading=_("Read on"), share=1.25),
            content.Column(heading=_("Source"), share=0.6),
        ),
        rows=tuple((*row[:-1], sources.number(row[-1])) for row in rows),
    )


def _lines(
    facts: MachineRecord,
    group: Sequence[Finding],
    *,
    reader: Reader,
    contradicted: str,
) -> list[tuple[str, ...]]:
    """Return a line for each limit and source within a group, least margin first."""
    lines: dict[tuple[str, str, str], list[tuple[Finding, str, str]]] = {}
    for finding in group:
        shown = findings.figures(finding, reader=reader)
        margin = shown["margin"]
        if contradicted and findings.is_calculated_grip(finding):
            margin = f"{margin}, {contradicted}"
        key = (shown["limit"], finding.source, finding.how_sure)
        lines.setdefault(key, []).append((finding, shown["value"], margin))
    return [
        (
            _what(members[0][0], reader=reader),
            _values([(f.place, value) for f, value, _margin in members]),
            limit,
            members[0][2],
            _grade(members[0][0]),
            _read_on(facts, [f for f, _value, _margin in members], reader=reader),
            _source(members[0][0]),
        )
        for (limit, _source_text, _sure), members in lines.items()
    ]


def _grade(finding: Finding) -> str:
    """Return the grade; in a table of checks made nothing more is to be said."""
    if findings.is_within_scatter(finding):
        return _("beyond by less than the gauge can tell")
    if finding.grade == Grade.IN_ORDER:
        return wording().grade_found_nothing
    return wording().of_grade(content.PrintedGrade(finding.grade))


def _read_on(facts: MachineRecord, found: Sequence[Finding], *, reader: Reader) -> str:
    """Return when the newest reading of each place was taken, from first to last."""
    days = {
        max(readings.day_of(facts.readings[pk], reader) for pk in known)
        for finding in found
        if (known := [pk for pk in finding.readings if pk in facts.readings])
    }
    if not days:
        return _("from the register")
    first, last = min(days), max(days)
    if first == last:
        return reader.day(last)
    return _("%(first)s to %(last)s") % {
        "first": reader.day(first),
        "last": reader.day(last),
    }


def _what(finding: Finding, *, reader: Reader) -> str:
    what = words.topic(finding.topic).what
    criterion = findings.criterion(finding, reader=reader)
    if not criterion or criterion.lower() == what.lower():
        return what
    return f"{what}: {criterion}"


def _values(found: Sequence[tuple[str, str]]) -> str:
    """Return the values with their places; places of one value stand together."""
    by_value: dict[str, list[str]] = {}
    for place, value in found:
        by_value.setdefault(value, []).append(place)
    texts = []
    for value, places in by_value.items():
        named = words.places(together(place_of(place) for place in places if place))
        texts.append(f"{named}: {value}" if named else value)
    return "; ".join(texts)


def _source(finding: Finding) -> str:
    source, sure = words.said(finding.source) or "–", findings.how_sure(finding)
    return source if sure in ("–", source) or sure in source else f"{source} ({sure})"
