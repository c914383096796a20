"""The findings of one machine as the report lists them."""

from collections.abc import Sequence
from itertools import groupby

from inspections.models import Finding, Grade
from reports import content
from reports.composition import words
from reports.composition.reader import Reader

ORDER = {
    Grade.ACT_NOW: 0,
    Grade.PLAN_WORK: 1,
    Grade.KEEP_AN_EYE_ON: 2,
    Grade.IN_ORDER: 3,
    Grade.NOT_ASSESSED: 4,
}

STOP = (
    "Take this machine out of service until a competent person has decided. Low "
    "traction also takes away protection by brakes that act on the sheave."
)


def listed(
    findings: Sequence[Finding], *, reader: Reader, labels: dict[int, str]
) -> tuple[content.Finding, ...]:
    """Return the assessed findings, most urgent first.

    One criterion with one grade at several places is listed once, by the place with
    the least margin. `labels` name the readings in the appendix.
    """
    assessed = [f for f in findings if f.grade != Grade.NOT_ASSESSED]
    return tuple(
        _entry(group, reader=reader, labels=labels) for group in _groups(assessed)
    )


def not_assessed(findings: Sequence[Finding]) -> tuple[content.NotAssessed, ...]:
    """Return the checks that were not made, each with its reason."""
    return tuple(
        content.NotAssessed(
            what=_joined(words.topic(f.topic).what, f.place),
            reason=f.reason,
            remedy=words.topic(f.topic).remedy,
        )
        for f in findings
        if f.grade == Grade.NOT_ASSESSED
    )


def _groups(findings: Sequence[Finding]) -> list[list[Finding]]:
    """Return findings grouped by grade and criterion, the least margin first."""

    def key(finding: Finding) -> tuple[object, ...]:
        return (ORDER[Grade(finding.grade)], finding.topic, finding.criterion)

    ordered = sorted(findings, key=key)
    groups = [list(group) for _, group in groupby(ordered, key=key)]
    for group in groups:
        group.sort(key=lambda f: (f.margin is None, f.margin))
    groups.sort(key=lambda g: (ORDER[Grade(g[0].grade)], g[0].topic, g[0].pk))
    return groups


def _entry(
    group: Sequence[Finding], *, reader: Reader, labels: dict[int, str]
) -> content.Finding:
    worst = group[0]
    readings = [labels[pk] for pk in worst.readings if pk in labels]
    return content.Finding(
        what=words.topic(worst.topic).what,
        where=_where(group),
        grade=content.Grade(worst.grade),
        **_figures(worst, reader=reader),
        meaning=words.meaning(worst),
        criterion=worst.criterion.replace("_", " "),
        source=worst.source or "–",
        how_sure=worst.how_sure.replace("_", " ").lower() or "–",
        readings=_short(readings),
        cautions=(STOP,) if worst.stops_service else (),
    )


def _where(group: Sequence[Finding]) -> str:
    worst = group[0]
    if len(group) == 1:
        return worst.place or "machine"
    if worst.margin is None:
        return ", ".join(finding.place for finding in group if finding.place)
    return f"{worst.place}, the least of {len(group)} places"


def _figures(finding: Finding, *, reader: Reader) -> dict[str, str]:
    """Return value, limit and margin as an owner reads them."""
    worst = finding.detail.get("worst", "STALLED")
    is_held = finding.topic == "traction" and not worst.startswith("STALLED")
    if is_held and finding.margin is not None:
        used = 100.0 * (1.0 - finding.margin)
        return {
            "value": f"{used:.0f} % of what holds is used",
            "limit": "100 %",
            "margin": f"{100.0 * finding.margin:+.0f} %".replace("-", "−"),
        }
    return {
        "value": reader.quantity(finding.value, finding.unit),
        "limit": reader.quantity(finding.limit, finding.unit),
        "margin": reader.quantity(finding.margin, finding.unit, signed=True),
    }


def _short(labels: Sequence[str]) -> tuple[str, ...]:
    """Return reading labels, a long run cut in its middle."""
    if len(labels) <= 6:
        return tuple(labels)
    return (*labels[:3], "…", labels[-1])


def _joined(what: str, place: str) -> str:
    return f"{what}: {place}" if place else what
