"""What was calculated of a machine, to be worked out again: traction, safety factor.

It is the record that the finding's own page shows; nothing is worked out here.
"""

from collections.abc import Iterator, Sequence
from typing import Any

from django.utils.translation import gettext as _

from inspections import worked
from inspections.models import Finding
from inspections.reasons import Topic
from inspections.worked import Line, Worked, WorkedLines, shown
from reports import content
from reports.composition import other_places, words, worked_units, worked_values
from reports.composition.description import groove
from reports.composition.reader import Reader
from reports.queries import MachineRecord

_OF_CASES = (Topic.TRACTION_OF_CASE, Topic.TRACTION_STALLED)
_AS_BUILT = (Topic.SAFETY_FACTOR, Topic.PRESSURE)
_CASE = "case_"


def traction(facts: MachineRecord, *, reader: Reader) -> content.TractionSheet | None:
    """Return every load case of the place with the least margin, worked out.

    None where no traction was calculated.
    """
    found = [f for f in facts.findings if f.detail.get("cases")]
    found = [f for f in found if f.topic == Topic.TRACTION and f.margin is not None]
    if not found:
        found = [f for f in facts.findings if _is_of_a_case(f)]
    if not found:
        return None
    found.sort(key=lambda f: (f.margin, f.pk))
    first = found[0]
    parts = [p for f in _same(first, found) for p in _worked(facts, f).parts]
    cases = [p for p in parts if p.name.startswith(_CASE)]
    if not cases:
        return None
    others = [f for f in found if f.place != first.place and f.detail.get("cases")]
    return content.TractionSheet(
        title=_("Traction worked out: %(place)s")
        % {"place": words.place(first.place) or _("machine")},
        about=tuple(_about(facts, first, reader=reader)),
        cases=_cases(facts, first, cases, reader=reader),
        values=worked_values.put_in(
            [*((part.name, part.lines) for part in cases), *_built(facts)],
            numbers={part.name: number for number, part in enumerate(cases, 1)},
            reader=reader,
        ),
        worked=_each_line_once(cases),
        others=other_places.table(others, reader=reader),
        note=_(
            "In kilograms, newtons, metres and radians, as the rules have it; what a "
            "number put in is in the reader's own units stands beside it. Each result "
            "follows from the numbers beside it, as printed; a line that cases share "
            "stands once."
        ),
    )


def as_built(facts: MachineRecord, *, reader: Reader) -> tuple[content.WorkedPart, ...]:
    """Return the safety factor and the pressure, worked out where they were."""
    return tuple(
        content.WorkedPart(
            name=name, lines=tuple(_row(line, reader=reader) for line in lines)
        )
        for name, lines in _built(facts)
    )


def _built(facts: MachineRecord) -> Iterator[tuple[str, Sequence[Line]]]:
    """Yield what was worked out besides traction: its name and its lines."""
    for finding in facts.findings:
        if finding.topic in _AS_BUILT and finding.value is not None:
            lines = [line for p in _worked(facts, finding).parts for line in p.lines]
            if lines:
                yield words.topic(finding.topic).what, lines


def _is_of_a_case(finding: Finding) -> bool:
    return finding.topic in _OF_CASES and finding.margin is not None


def _same(first: Finding, found: Sequence[Finding]) -> Sequence[Finding]:
    """Return the findings that have the cases of one place between them."""
    if first.detail.get("cases"):
        return [first]
    return [f for f in found if f.place == first.place]


def _worked(facts: MachineRecord, finding: Finding) -> Worked:
    inputs: dict[str, Any] = facts.assessment.inputs if facts.assessment else {}
    return worked.of_loaded(finding, shared=inputs.get("shared", {}))


def _about(
    facts: MachineRecord, first: Finding, *, reader: Reader
) -> Iterator[content.Row]:
    geometry = facts.snapshot.geometry
    if geometry is not None:
        count = len(facts.snapshot.grooves)
        form = groove(geometry, count=count, reader=reader)
        yield content.Row(label=_("Groove"), value=form)
    depths = first.detail.get("seat_depths_mm", ())
    if depths:
        spread = first.detail.get("seat_depth_sd_mm") or 0.0
        yield content.Row(
            label=_("Depth of the seat"),
            value=_("%(depths)s (standard deviation %(spread)s)")
            % {
                "depths": ", ".join(map(reader.length, depths)),
                "spread": reader.length(spread),
            },
        )
    rules = facts.snapshot.criteria.traction
    standing = words.said(str(rules.status))
    if rules.borrowed:
        standing = _("%(standing)s; borrowed method, a test decides") % {
            "standing": standing
        }
    yield content.Row(
        label=_("Calculated by"), value=f"{words.said(rules.source)} ({standing})"
    )
    yield content.Row(label=_("What is open"), value=_open(first, reader=reader))


def _open(first: Finding, *, reader: Reader) -> str:
    """Return what is not known exactly, each with its range."""
    named = [
        _("%(what)s %(range)s")
        % {
            "what": words.register_item(each["name"]) or each["name"],
            "range": worked_units.ranged(
                each["name"], each["low"], each["high"], reader=reader
            ),
        }
        for each in first.unknowns
    ]
    return "; ".join(named) or _("nothing is open")


def _cases(
    facts: MachineRecord,
    first: Finding,
    parts: Sequence[WorkedLines],
    *,
    reader: Reader,
) -> content.Table:
    return content.Table(
        title=_("Every load case"),
        columns=(
            content.Column(heading=_("Case"), share=1.7),
            content.Column(
                heading="T₁, T₂ [N]" if reader.is_metric else "T₁, T₂ [N] (lbf)",
                share=1.2,
            ),
            content.Column(heading=_("Asked φ·T₁/T₂"), share=1.05),
            content.Column(heading="μ", share=0.85),
            content.Column(heading="f/μ", share=0.7),
            content.Column(heading="α [°]", share=0.7),
            content.Column(heading=_("Held"), share=0.95),
            content.Column(heading=_("Margin"), share=0.85),
            content.Column(heading=_("Least … greatest"), share=1.3),
        ),
        rows=tuple(
            _case(facts, first, part, number=number, reader=reader)
            for number, part in enumerate(parts, 1)
        ),
        note=_(
            "The margin is 1 − ln(asked) / ln(held) where the ropes must hold, and "
            "ln(asked) / ln(held) − 1 where they must be able to slip: positive is "
            "good. Least and greatest: over all that is open."
        ),
    )


def _case(
    facts: MachineRecord,
    first: Finding,
    part: WorkedLines,
    *,
    number: int,
    reader: Reader,
) -> tuple[str, ...]:
    lines = {line.symbol: line for line in part.lines}
    numbers = {n.symbol: n.value for line in part.lines for n in line.numbers}
    angles = [v for s, v in numbers.items() if s.startswith("alpha")]
    ratios = [v for s, v in numbers.items() if s.strip("0123456789") == "k"]

    def shown_(values: Sequence[float], digits: int = 4) -> str:
        return ", ".join(_number(value, digits) for value in values) or "–"

    def result(name: str) -> str:
        return _number(lines[name].value) if name in lines else "–"

    return (
        _case_name(part.name, number),
        "\n".join(
            _pull(numbers[s], reader=reader) for s in ("T1", "T2") if s in numbers
        ),
        result("r"),
        shown_([v for s, v in numbers.items() if s == "mu"]),
        shown_(ratios),
        shown_([value * _DEGREES for value in angles]),
        result("r_held"),
        result("m"),
        _ends(facts, first, part.name),
    )


_DEGREES = 57.29577951308232


def _pull(value_n: float, *, reader: Reader) -> str:
    other = worked_units.beside(value_n, "N", reader=reader)
    # The heading has both units.
    other = other.removesuffix(" lbf")
    return f"{_number(value_n)} ({other})" if other else _number(value_n)


def _ends(facts: MachineRecord, first: Finding, name: str) -> str:
    """Return both ends of a case's margin over what is open; a dash for none."""
    case = name.removeprefix(_CASE).upper()
    ends = first.detail.get("ends", {}).get(case)
    for finding in facts.findings:
        if finding.place == first.place and finding.detail.get("case") == case:
            ends = (finding.worst, finding.best)
    if not ends or None in ends:
        return "–"
    return " … ".join(_number(end, 3) for end in ends)


def _case_name(part: str, number: int) -> str:
    """Return a load case by the name that it has all over the document, numbered."""
    return f"{number} {words.case(part.removeprefix(_CASE).upper())}"


def _each_line_once(parts: Sequence[WorkedLines]) -> tuple[content.WorkedPart, ...]:
    seen: set[str] = set()
    made = []
    for number, part in enumerate(parts, 1):
        rows = [row for row in map(_row, part.lines) if row.value not in seen]
        seen.update(row.value for row in rows)
        name = _case_name(part.name, number)
        made.append(content.WorkedPart(name=name, lines=tuple(rows)))
    return tuple(made)


def _row(line: Line, *, reader: Reader | None = None) -> content.Row:
    """Return a line: what it gives, its formula, its numbers put in, its result.

    With a reader the result stands in the reader's units besides.
    """
    symbols, numbers = shown.in_symbols(line), shown.put_in(line)
    chain = [shown.symbol(line.symbol), symbols, numbers, shown.result(line)]
    other = worked_units.beside(line.value, line.unit, reader=reader) if reader else ""
    if other:
        chain[-1] += f" ({other})"
    return content.Row(label=shown.called(line.name), value=" = ".join(chain))


def _number(value: float, digits: int = 4) -> str:
    return shown.localised(worked.formula.printed(value, digits))
