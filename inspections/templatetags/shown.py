"""How pages show values, days, reasons and states: in the reader's own way."""

from datetime import date, datetime
from typing import Any

from django import template
from django.utils import timezone
from django.utils.translation import gettext

from fleet.platform import units
from inspections import wording
from inspections.kinds import KINDS
from inspections.models import GRADES, Finding, Grade, Reading, Stop, StopPlace
from inspections.overview import STOPPED
from inspections.planning import kinds as works
from inspections.reasons import Criterion, Quantity, Term, from_json
from inspections.reasons.opening import name_of, of_unknown
from inspections.reasons.serial import quantity_of, term_of, topic_of
from inspections.stops import ending

register = template.Library()

# What a machine's state is called; the state of a stopped one is shouted.
STATE_WORDS = dict(GRADES) | {STOPPED: "OUT OF SERVICE"}
NO_VALUE = "–"
NO_UNIT = "1"
# Units of what is measured; other values are shares, ratios and counts.
_OF_MEASURES = frozenset({"mm", "N", "kg", "m", "m/s", "MPa", "s"})
_WHOLE = 100.0
_ASKS_NOW = (Grade.ACT_NOW, Grade.PLAN_WORK)


@register.simple_tag(takes_context=True)
def quantity(context: Any, value: float | None, unit: str = "") -> str:
    """Return a number with its unit, both of the reader's family."""
    if value is None:
        return NO_VALUE
    words = wording.ReadersWords(family=context["preferences"].family)
    if unit in _OF_MEASURES:
        return words.quantity(Quantity(value=value, unit=unit), ".4g")
    # As in documents: a share or a ratio is no finer than the readings it is from.
    digits = ".0f" if abs(value) >= _WHOLE else ".3g"
    unit = "wire" if unit == "wires" and value == 1.0 else unit
    return words.quantity(Quantity(value=value, unit=unit or "-"), digits)


@register.simple_tag(takes_context=True)
def fine(context: Any, value_mm: float) -> str:
    """Return how finely a gauge tells lengths: of an inch a tenth of a thousandth."""
    if context["preferences"].is_metric:
        return quantity(context, value_mm, "mm")
    inches = units.from_canonical(value=value_mm, unit="in", quantity="length")
    words = wording.ReadersWords(family=context["preferences"].family)
    return f"{words.number(inches, '.4f')} in"


@register.simple_tag(takes_context=True)
def as_read(context: Any, reading: Reading) -> str:
    """Return a reading as it was typed; besides in the reader's unit, if another."""
    if reading.word:
        return word(reading.word)
    unit = "" if reading.typed_unit == NO_UNIT else reading.typed_unit
    typed = f"{reading.typed_value} {unit}".rstrip()
    kind = KINDS.get(reading.kind)
    if kind is None or not kind.quantity or reading.value is None:
        return typed
    family = context["preferences"].family
    readers = units.readers_unit(quantity=kind.quantity, family=family)
    if not unit or unit == readers:
        return typed
    canonical = units.QUANTITIES[kind.quantity].canonical
    return f"{typed} ({quantity(context, reading.value, canonical)})"


@register.simple_tag(takes_context=True)
def why(context: Any, said: Any, text: str = "") -> str:
    """Return a stored reason in the reader's language; its old text without a code."""
    reason = from_json(said)
    if reason is None:
        return text
    family = context["preferences"].family
    return wording.say(reason, family=family, words=wording.PageWords)


@register.filter
def day(moment: date | datetime | None) -> str:
    """Return a day as people of the language write it."""
    if moment is None:
        return NO_VALUE
    if isinstance(moment, datetime):
        moment = timezone.localtime(moment).date()
    return wording.written_day(moment)


@register.filter
def state(code: str) -> str:
    """Return what a machine's state or a finding's grade is called."""
    return gettext(STATE_WORDS.get(code, code))


@register.filter
def kind(code: str) -> str:
    """Return what a kind of reading is called."""
    return gettext(KINDS[code].name) if code in KINDS else code


@register.filter
def work(code: str) -> str:
    """Return what a kind of work is called."""
    return gettext(works.WORDS.get(code, code))


@register.filter
def place(row: Any) -> str:
    """Return where a finding, a stop or a reading is: a groove, a rope, a part."""
    if row.groove is not None:
        return gettext("groove {number}").format(number=row.groove.number)
    if row.rope is not None:
        return gettext("rope {number}").format(number=row.rope.number)
    if isinstance(row, Finding) and row.place:
        return wording.place(row.place)
    if getattr(row, "place_kind", "") == StopPlace.PART and row.place:
        return gettext(row.place)
    return gettext("the machine")


@register.filter
def read_at(reading: Any) -> str:
    """Return where a reading was taken, with all that tells its place from others."""
    details = (
        f"{gettext(key.replace('_', ' '))} {gettext(str(value))}"
        for key, value in reading.place.items()
    )
    return ", ".join([place(reading), *details])


@register.filter
def criteria(code: str) -> str:
    """Return what a set of criteria is called; its code where it is none of ours."""
    return wording.criteria_set(code)


@register.filter
def comes_near(line: Any) -> bool:
    """Tell whether work is to be planned for what will be, and not for what is."""
    asks_now = line.says_most is not None and line.says_most.grade in _ASKS_NOW
    return line.state == Grade.PLAN_WORK and line.first is not None and not asks_now


@register.simple_tag
def held_against(finding: Finding) -> str:
    """Return the rule of a finding in the reader's language; its old text without."""
    term = term_of(finding.rule) if finding.rule else None
    if isinstance(term, Term | Criterion):
        return wording.name(term)
    return wording.name(topic_of(finding.criterion))


@register.filter
def document(finding: Finding) -> str:
    """Return the source of a finding without how sure it is, which stands beside."""
    return cited(finding.source.removesuffix(f" ({finding.how_sure})"))


@register.filter
def cited(source: str) -> str:
    """Return a source; where it is said in words, in the reader's language."""
    return gettext(source) if source else ""


@register.filter
def percent(share: float | None) -> str:
    """Return a chance in percent, never rounded to nothing or to certainty."""
    if share is None:
        return NO_VALUE
    if 0.0 < share < 0.01:
        return "< 1 %"
    if 0.99 < share < 1.0:
        return "> 99 %"
    return f"{share:.0%}".replace("%", " %")


@register.filter
def check(code: str) -> str:
    """Return what a check of the least set is called."""
    return gettext(code.replace("_", " ").replace("runby", "run-by"))


@register.filter
def topic(code: str) -> str:
    """Return what a finding is about."""
    return wording.name(topic_of(code))


@register.filter
def unknown(name: str) -> str:
    """Return what something that is not known is called."""
    return wording.name(name_of(name))


@register.simple_tag(takes_context=True)
def assumed(context: Any, unknown: dict[str, Any]) -> str:
    """Return the range in which something lies that is not known, and what is usual."""
    words = wording.ReadersWords(family=context["preferences"].family)

    def said(end: str) -> str:
        value = unknown.get(end)
        if value is None:
            return NO_VALUE
        return words.quantity(of_unknown(unknown["name"], value), ".4g")

    usual = gettext("usually %(typical)s") % {"typical": said("typical")}
    return f"{said('low')} … {said('high')}, {usual}"


@register.filter
def worn(name: str) -> str:
    """Return what is worn, of a forecast."""
    return wording.name(quantity_of(name))


@register.filter
def word(code: str) -> str:
    """Return a reading's word as a person would say it."""
    return gettext(code.replace("_", " ").lower())


@register.filter
def released_by(stop: Stop) -> str:
    """Return what ends a stop: work, a reading as left, acceptance; or a refutation."""
    return ending.ended_by(stop)
