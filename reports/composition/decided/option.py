"""One option of a machine in words."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from inspections.decisions.records import SHOWN, Option, OptionKind, Possible
from inspections.engineering.verdict import Item
from inspections.options import saying
from inspections.reasons import Code, Reason
from reports import content
from reports.composition import reasons, words
from reports.composition.decided import against, matters, money, spoken
from reports.composition.reader import Reader

Said = Mapping[str, Any]

_SHARED = (
    Code.CAUTION_STOPPED,
    Code.CAUTION_NOT_AN_ORDER,
    Code.CAUTION_COMPETENT,
    Code.CAUTION_TEST_AFTER,
)


def is_shared(caution: Item) -> bool:
    """Return whether a caution is for every work, and not for one kind of it."""
    return isinstance(caution, Reason) and caution.code in _SHARED


def is_ruled_out(said: Said) -> bool:
    """Return whether an option is blocked or would not help."""
    return bool(
        said["blocked_because"]
        or said["pointless_because"]
        or said["possible"] == Possible.NO
    )


def option_of(
    said: Said,
    *,
    reader: Reader,
    is_chosen: bool,
    contradicted: str = "",
    remark: str = "",
    worth_of: tuple[content.Row, ...] = (),
) -> content.PrintedOption:
    """Return one stored option in words; one that is ruled out says why, no more.

    `remark` is what was written of the last such work, `worth_of` what it is worth.
    """
    kind = OptionKind(said["kind"])
    if is_ruled_out(said):
        return _ruled_out(said, reader=reader, is_chosen=is_chosen)
    return content.PrintedOption(
        name=_capital(spoken.kind(kind, reader=reader)),
        addresses=matters.named(said["addresses"]),
        plan_before=_plan_before(said, reader=reader),
        cost=money.cost(said["cost"], reader=reader),
        consequence=_consequence(said, kind, reader=reader, contradicted=contradicted),
        blocked="",
        is_recommended=said["recommended"],
        possible=_possible(said, reader=reader),
        order_by=_day(said["order_by_on"], reader=reader),
        leaves_open=matters.named(said["leaves_open"]),
        measure_before=spoken.listed(
            saying.items_of(said, "measure_before"), reader=reader
        ),
        is_chosen=is_chosen,
        further=(*_further(said, reader=reader), *worth_of, *_remarked(remark)),
    )


def _further(said: Said, *, reader: Reader) -> Iterator[content.Row]:
    """Yield what the record of an option declares as shown, where it is known."""
    for field in fields(Option):
        how, value = field.metadata.get(SHOWN), said.get(field.name)
        if how is None or value is None:
            continue
        text = (
            words.said(value)
            if isinstance(value, str)
            else reader.quantity(value, how.unit)
        )
        yield content.Row(label=_capital(words.said(how.label)), value=text)


def _remarked(remark: str) -> Iterator[content.Row]:
    if remark:
        yield content.Row(label=_("To be read first"), value=words.sentence(remark))


def _ruled_out(said: Said, *, reader: Reader, is_chosen: bool) -> content.PrintedOption:
    """Return an option that is not open or of no use: its reasons and its chance."""
    has_chance = said["probability_possible"] is not None
    return content.PrintedOption(
        name=_capital(spoken.kind(said["kind"], reader=reader)),
        addresses="",
        plan_before="",
        cost="",
        consequence="",
        blocked=against.blocked(said, reader=reader),
        is_recommended=said["recommended"],
        possible=_possible(said, reader=reader) if has_chance else "",
        pointless=against.pointless(said, reader=reader),
        is_chosen=is_chosen,
    )


def _possible(said: Said, *, reader: Reader) -> str:
    """Return whether it can be carried out, with its chance, promising nothing."""
    text = {
        Possible.YES: _("yes, by what was read and registered"),
        Possible.NO: _("no"),
        Possible.NOT_KNOWN: _("not known"),
    }[Possible(said["possible"])]
    chance = said["probability_possible"]
    if chance is None:
        return text
    return _(
        "%(possible)s; chance that every groove keeps the least metal: %(chance)s"
    ) % {
        "possible": text,
        "chance": _share(chance, reader=reader),
    }


def _share(chance: float, *, reader: Reader) -> str:
    """Return a chance in percent; never 0 or 100, which nothing read can be."""
    if chance > 0.999:
        return _("above %(share)s") % {"share": reader.local("99.9 %")}
    if chance < 0.001:
        return _("below %(share)s") % {"share": reader.local("0.1 %")}
    return reader.local(f"{100.0 * chance:.3g} %")


def _plan_before(said: Said, *, reader: Reader) -> str:
    if said["kind"] == OptionKind.WATCH and said["next_reading_on"]:
        return _("next reading before %(day)s") % {
            "day": _day(said["next_reading_on"], reader=reader)
        }
    return _day(said["plan_before_on"], reader=reader)


def _day(text: str | None, *, reader: Reader) -> str:
    return reader.day(date.fromisoformat(text)) if text else ""


def _consequence(
    said: Said, kind: OptionKind, *, reader: Reader, contradicted: str
) -> str:
    """Return what comes with it: new ropes, diameter, speed, traction."""
    found = []
    if kind.renews_ropes:
        found.append(_("a whole matched set of new ropes"))
    if said["pitch_diameter_after_mm"] is not None and kind.renews_grooves:
        found.append(
            _("pitch diameter %(length)s")
            % {"length": reader.length(said["pitch_diameter_after_mm"], digits=1)}
        )
    if said["speed_ratio_after"] is not None and kind.is_cut:
        found.append(
            _("car speed %(percent)s of that with the sheave as new")
            % {"percent": reader.local(f"{100.0 * said['speed_ratio_after']:.1f} %")}
        )
    if kind.renews_ropes:
        traction = _traction(said["margins"])
        found.append(f"{traction}, {contradicted}" if contradicted else traction)
    said_of_it = "; ".join(found)
    own = [
        reasons.item(caution, reader=reader)
        for caution in saying.items_of(said, "cautions")
        if not is_shared(caution)
    ]
    return " ".join(filter(None, (words.sentence(said_of_it), *own)))


def _traction(margins: Sequence[Said]) -> str:
    """Return the least margin of traction before and after, with its load case."""
    counted = [m for m in margins if not m["met_otherwise"]]
    if not counted or any(m["after"] is None for m in counted):
        return _("traction after it is not assessed")
    worst = min(counted, key=lambda margin: margin["after"])
    before = [m["before"] for m in counted if m["before"] is not None]
    return _(
        "least margin of traction %(before)s now, %(after)s after it by the "
        "calculation (%(case)s)"
    ) % {
        "before": _margin(min(before)) if before else _("not assessed"),
        "after": _margin(worst["after"]),
        "case": words.case(worst["case"]),
    }


def _margin(value: float) -> str:
    return f"{100.0 * value:+.0f} %".replace("-", "−")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
