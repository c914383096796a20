"""The findings of one machine as the report lists them."""

from collections.abc import Sequence
from itertools import groupby

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from inspections.models import Finding, Grade
from reports import content
from reports.composition import cautions, words
from reports.composition.reader import Reader

ORDER = {
    Grade.ACT_NOW: 0,
    Grade.PLAN_WORK: 1,
    Grade.KEEP_AN_EYE_ON: 2,
    Grade.IN_ORDER: 3,
    Grade.NOT_ASSESSED: 4,
}
ASKING = (Grade.ACT_NOW, Grade.PLAN_WORK, Grade.KEEP_AN_EYE_ON)
# What a cut would leave is no limit that the machine has passed.
_ONLY_AHEAD = ("room for a cut",)
# Ratios without a unit that are shares of a rope's load.
_SHARES = ("tension swing",)
# What a look, a test or a word is held against.
_EXPECTED = {
    "slip_seen": gettext_noop("none may be seen"),
    "brake_slide_seen": gettext_noop("none may be seen"),
    "check": gettext_noop("no defect"),
}


def is_past(finding: Finding) -> bool:
    """Return whether a value is past its limit, whatever grade that limit gives."""
    if finding.grade == Grade.NOT_ASSESSED or finding.topic in _ONLY_AHEAD:
        return False
    is_short = finding.margin is not None and finding.margin < 0.0
    return is_short or finding.grade == Grade.ACT_NOW


def listed(
    findings: Sequence[Finding], *, reader: Reader, labels: dict[int, str]
) -> tuple[content.Finding, ...]:
    """Return the findings that ask for something, most urgent first.

    One criterion with one grade at several places is listed once, by the place with
    the least margin; the appendix has every place. `labels` name the readings there.
    """
    asking = [f for f in findings if f.grade in ASKING]
    return tuple(
        _entry(group, reader=reader, labels=labels) for group in groups(asking)
    )


def not_assessed(findings: Sequence[Finding]) -> tuple[content.NotAssessed, ...]:
    """Return the checks that were not made, each reason with its places once."""
    missing: dict[tuple[str, str], list[str]] = {}
    for finding in findings:
        if finding.grade == Grade.NOT_ASSESSED:
            places = missing.setdefault((finding.topic, finding.reason), [])
            if finding.place:
                places.append(words.place(finding.place))
    return tuple(
        content.NotAssessed(
            what=_joined(words.topic(topic).what, ", ".join(dict.fromkeys(places))),
            reason=words.reason(reason),
            remedy=words.topic(topic).remedy,
        )
        for (topic, reason), places in missing.items()
    )


def groups(findings: Sequence[Finding]) -> list[list[Finding]]:
    """Return findings grouped by grade and criterion, the least margin first."""

    def key(finding: Finding) -> tuple[object, ...]:
        return (ORDER[Grade(finding.grade)], finding.topic, finding.criterion)

    ordered = sorted(findings, key=key)
    found = [list(group) for _key, group in groupby(ordered, key=key)]
    for group in found:
        group.sort(key=lambda f: (f.margin is None, f.margin, f.pk))
    found.sort(key=lambda g: (ORDER[Grade(g[0].grade)], g[0].topic, g[0].pk))
    return found


def figures(finding: Finding, *, reader: Reader) -> dict[str, str]:
    """Return value, limit and margin as an owner reads them."""
    worst = finding.detail.get("worst", "STALLED")
    is_held = finding.topic == "traction" and not worst.startswith("STALLED")
    if is_held and finding.margin is not None:
        used = 100.0 * (1.0 - finding.margin)
        return {
            "value": _("%(percent)s %% of what holds is used")
            % {"percent": f"{used:.0f}"},
            "limit": "100 %",
            "margin": f"{100.0 * finding.margin:+.0f} %".replace("-", "−"),
        }
    if finding.value is None and finding.criterion:
        return {"value": seen(finding), "limit": _expected(finding), "margin": "–"}
    if finding.unit == "" and finding.topic in _SHARES:
        return _as_shares(finding, reader=reader)
    return {
        "value": reader.quantity(finding.value, finding.unit),
        "limit": reader.quantity(finding.limit, finding.unit),
        "margin": reader.quantity(finding.margin, finding.unit, signed=True),
    }


def seen(finding: Finding) -> str:
    """Return the word that was reported, such as "pass"; a dash for no word."""
    word = finding.criterion.rpartition(": ")[2] if ": " in finding.criterion else ""
    return words.said(word) or "–"


def criterion(finding: Finding) -> str:
    """Return what a finding was held against, in words; what was seen is its value."""
    kind, colon, _word = finding.criterion.partition(": ")
    if colon:
        return words.kind(kind)
    return words.said(finding.criterion.replace("_", " "))


def _expected(finding: Finding) -> str:
    kind = finding.criterion.partition(": ")[0]
    return words.said(_EXPECTED.get(kind, "")) or "–"


def _as_shares(finding: Finding, *, reader: Reader) -> dict[str, str]:
    """Return shares of a load in percent, as an owner reads them."""

    def percent(share: float | None, *, signed: bool = False) -> str:
        whole = None if share is None else round(100.0 * share, 1)
        return reader.quantity(whole, "%", signed=signed)

    return {
        "value": percent(finding.value),
        "limit": percent(finding.limit),
        "margin": percent(finding.margin, signed=True),
    }


def how_sure(finding: Finding) -> str:
    """Return how sure the source is, in words."""
    return words.said(finding.how_sure.replace("_", " ").lower()) or "–"


def _entry(
    group: Sequence[Finding], *, reader: Reader, labels: dict[int, str]
) -> content.Finding:
    worst = group[0]
    readings = [labels[pk] for pk in worst.readings if pk in labels]
    return content.Finding(
        what=words.topic(worst.topic).what,
        where=_where(group),
        grade=content.Grade(worst.grade),
        **figures(worst, reader=reader),
        meaning=words.meaning(worst, reader=reader),
        criterion=criterion(worst) or "–",
        source=words.said(worst.source) or "–",
        how_sure=how_sure(worst),
        readings=_short(readings),
        cautions=(cautions.stop(),) if any(f.stops_service for f in group) else (),
    )


def _where(group: Sequence[Finding]) -> str:
    worst = group[0]
    if len(group) == 1:
        return words.place(worst.place) or _("machine")
    if worst.margin is None:
        return ", ".join(words.place(f.place) for f in group if f.place)
    return _("%(place)s, the least of %(count)s places") % {
        "place": words.place(worst.place),
        "count": len(group),
    }


def _short(labels: Sequence[str]) -> tuple[str, ...]:
    """Return reading labels, a long run cut in its middle."""
    if len(labels) <= 6:
        return tuple(labels)
    return (*labels[:3], "…", labels[-1])


def _joined(what: str, place: str) -> str:
    return f"{what}: {place}" if place else what
