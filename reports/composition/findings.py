"""The findings of one machine as the report lists them."""

from collections.abc import Sequence
from itertools import groupby

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from inspections.engineering.traction.rules import LoadCase
from inspections.models import Finding, Grade
from inspections.reasons import Code, Topic, from_json
from inspections.reasons.reason import NAMED
from reports import content
from reports.composition import cautions, reasons, words
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
_ONLY_AHEAD = (Topic.NEXT_CUT,)
# Ratios without a unit that are shares of a rope's load.
_SHARES = (Topic.TENSION_SWING,)
# What a look, a test or a word is held against.
_EXPECTED: dict[str, str] = {
    Topic.ROPE_SLIP: gettext_noop("none may be seen"),
    Topic.BRAKE: gettext_noop("none may be seen"),
    Topic.CHECK: gettext_noop("no defect"),
}


# Load cases in which the ropes must hold; stalled, they must slip.
_HELD = {case.value for case in LoadCase if not case.is_stalled}


def is_past(finding: Finding) -> bool:
    """Return whether a value lies beyond its limit, whatever grade that limit gives."""
    if finding.grade == Grade.NOT_ASSESSED or finding.topic in _ONLY_AHEAD:
        return False
    is_short = finding.margin is not None and finding.margin < 0.0
    return is_short or finding.grade == Grade.ACT_NOW


def is_within_scatter(finding: Finding) -> bool:
    """Return whether a value lies beyond its limit by less than its gauge can tell.

    Such a limit asks to watch; a value beyond one of safety is never graded so.
    """
    return finding.grade == Grade.IN_ORDER and is_past(finding)


def listed(
    findings: Sequence[Finding],
    *,
    reader: Reader,
    labels: dict[int, str],
    contradicted: str = "",
) -> tuple[content.PrintedFinding, ...]:
    """Return the findings that ask for something, most urgent first.

    One criterion with one grade at several places is listed once, by the place with
    the least margin; the appendix has every place. `labels` name the readings there.
    `contradicted` stands beside calculated margins that a test contradicts.
    """
    asking = [f for f in findings if f.grade in ASKING]
    return tuple(
        _entry(group, reader=reader, labels=labels, contradicted=contradicted)
        for group in groups(asking)
    )


def not_assessed(
    findings: Sequence[Finding], *, reader: Reader
) -> tuple[content.NotAssessed, ...]:
    """Return what was not made or is open, each reason with its places once.

    What is open and asks for something has its sentence there.
    """
    missing: dict[tuple[str, str], list[str]] = {}
    for finding in findings:
        if finding.grade == Grade.NOT_ASSESSED or _is_open_alone(finding):
            reason = _why_not(finding, reader=reader)
            places = missing.setdefault((finding.topic, reason), [])
            if finding.place:
                places.append(words.place(finding.place))
    return tuple(
        content.NotAssessed(
            what=_joined(words.topic(topic).what, ", ".join(dict.fromkeys(places))),
            reason=reason,
            remedy=words.topic(topic).remedy,
        )
        for (topic, reason), places in missing.items()
    )


def _is_open_alone(finding: Finding) -> bool:
    return finding.is_open and finding.grade not in ASKING


def _why_not(finding: Finding, *, reader: Reader) -> str:
    """Return why it was not assessed, and what is said of it where it is open."""
    why = ""
    if finding.grade == Grade.NOT_ASSESSED:
        why = reasons.stored(finding.said, finding.reason, reader=reader)
    opened = words.open_sentence(finding, reader=reader)
    return f"{why}. {opened}" if why and opened else why or opened


def is_calculated_grip(finding: Finding) -> bool:
    """Return whether a finding gives a margin of traction that was worked out."""
    return finding.topic == "traction" and finding.margin is not None


def groups(findings: Sequence[Finding]) -> list[list[Finding]]:
    """Return findings grouped by grade and criterion, the least margin first."""

    def key(finding: Finding) -> tuple[object, ...]:
        held_against = finding.rule or finding.criterion
        # Two numbers that disagree say nothing of two others.
        own = finding.pk if finding.topic == Topic.REGISTER else 0
        return (ORDER[Grade(finding.grade)], finding.topic, held_against, own)

    ordered = sorted(findings, key=key)
    found = [list(group) for _key, group in groupby(ordered, key=key)]
    for group in found:
        group.sort(key=lambda f: (f.margin is None, f.margin, f.pk))
    found.sort(key=lambda g: (ORDER[Grade(g[0].grade)], g[0].topic, g[0].pk))
    return found


def _which_differ(finding: Finding, *, reader: Reader) -> str:
    """Return the numbers that disagree, without what follows from it."""
    reason = from_json(finding.said)
    if reason is None:
        return "–"
    return reasons.say(reason.apart()[0], reader=reader)


def figures(finding: Finding, *, reader: Reader) -> dict[str, str]:
    """Return value, limit and margin as an owner reads them."""
    worst = finding.detail.get("worst")
    is_held = worst in _HELD and finding.topic == Topic.TRACTION
    if is_held and finding.margin is not None:
        used = 100.0 * (1.0 - finding.margin)
        return {
            "value": _("%(percent)s %% of available traction used")
            % {"percent": f"{used:.0f}"},
            "limit": "100 %",
            "margin": f"{100.0 * finding.margin:+.0f} %".replace("-", "−"),
        }
    if finding.value is None and finding.topic == Topic.REGISTER:
        return {
            "value": _which_differ(finding, reader=reader),
            "limit": "–",
            "margin": "–",
        }
    if finding.value is None and finding.criterion:
        return {
            "value": seen(finding, reader=reader),
            "limit": words.said(_EXPECTED.get(finding.topic, "")) or "–",
            "margin": "–",
        }
    if finding.unit == "" and finding.topic in _SHARES:
        return _as_shares(finding, reader=reader)
    return {
        "value": reader.quantity(finding.value, finding.unit),
        "limit": _limit(finding, reader=reader),
        "margin": reader.quantity(
            finding.margin, finding.unit, signed=True, like=finding.value
        ),
    }


def _limit(finding: Finding, *, reader: Reader) -> str:
    """Return the limit; of one that was made stricter also what it was before."""
    limit = reader.quantity(finding.limit, finding.unit)
    reason = from_json(finding.said)
    for each in reason.walk() if reason is not None else ():
        if each.code is Code.LIMIT_TAKEN_TIMES:
            whole, factor = each.get("limit"), each.get("factor")
            if isinstance(whole, float | int) and isinstance(factor, float | int):
                return _("%(limit)s (%(whole)s × %(factor)s: rouge or wear)") % {
                    "limit": limit,
                    "whole": reader.plain(whole),
                    "factor": reader.plain(factor),
                }
    return limit


def seen(finding: Finding, *, reader: Reader) -> str:
    """Return the word that was reported, such as "pass"; a dash for no word."""
    reason = from_json(finding.said)
    for each in reason.walk() if reason is not None else ():
        word = each.get("word")
        if each.code is Code.REPORTED and isinstance(word, NAMED):
            return reasons.name(word, reader=reader)
    return "–"


def criterion(finding: Finding, *, reader: Reader) -> str:
    """Return what a finding was held against, in words; what was seen is its value."""
    if finding.rule:
        return reasons.name(finding.rule, reader=reader)
    return reasons.as_then(finding.criterion)


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
    return words.said(finding.how_sure) or "–"


def _entry(
    group: Sequence[Finding],
    *,
    reader: Reader,
    labels: dict[int, str],
    contradicted: str,
) -> content.PrintedFinding:
    worst = group[0]
    readings = [labels[pk] for pk in worst.readings if pk in labels]
    return content.PrintedFinding(
        what=words.topic(worst.topic).what,
        where=_where(group),
        grade=content.PrintedGrade(worst.grade),
        **figures(worst, reader=reader),
        meaning=words.meaning(worst, reader=reader),
        criterion=criterion(worst, reader=reader) or "–",
        source=words.said(worst.source) or "–",
        how_sure=how_sure(worst),
        readings=_short(readings),
        cautions=(cautions.stop(),) if any(f.stops_service for f in group) else (),
        contradicted=contradicted if is_calculated_grip(worst) else "",
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
