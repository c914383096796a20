"""What is chosen or advised for a matter, and what all of it may cost."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from inspections.decisions.records import OptionKind
from inspections.options import saying
from reports.composition.decided import matters, money, option, remarks, spoken
from reports.composition.reader import Reader
from reports.queries import MachineRecord


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """One course for a matter, in words, with its days; ``kind`` tells it apart.

    ``is_open`` where nobody has chosen or advised it: it is the first that answers.
    """

    kind: str = ""
    words: str = ""
    cost: str = ""
    plan_before_on: date | None = None
    order_by_on: date | None = None
    estimate: Mapping[str, Any] | None = None
    is_open: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class AdvisedWork:
    """Work that is chosen or advised for a machine, and its estimate."""

    code: str
    kind: str
    cost: Mapping[str, Any]
    order_by_on: date | None


def on(facts: MachineRecord, topic: str, *, reader: Reader) -> Advice:
    """Return what answers a topic: the chosen course, else the advised, else none."""
    for row in facts.planned:
        if _answers(row.planned, topic):
            return Advice(
                kind=row.kind,
                words=_with_remark(
                    _("chosen: %(option)s")
                    % {"option": spoken.kind(row.kind, reader=reader)},
                    facts,
                    row.kind,
                    reader=reader,
                ),
                cost=money.in_brief(row.planned.get("cost") or {}, reader=reader),
                plan_before_on=row.due_before_on,
                order_by_on=row.still_to_order_by_on,
                estimate=row.planned.get("cost"),
            )
    for said in facts.options.options if facts.options else ():
        if _answers(said, topic) and not option.is_ruled_out(said):
            return Advice(
                kind=said["kind"],
                words=_with_remark(
                    _words(said, reader=reader), facts, said["kind"], reader=reader
                ),
                cost=money.in_brief(said["cost"], reader=reader),
                plan_before_on=_day(said["plan_before_on"]),
                order_by_on=_day(said["order_by_on"]),
                estimate=said["cost"],
                is_open=not said["recommended"],
            )
    return Advice(cost=_("not estimated"))


def courses(facts: MachineRecord) -> Iterator[AdvisedWork]:
    """Yield what is chosen for a machine, or else what is advised."""
    code = facts.machine.code
    for row in facts.planned:
        cost = row.planned.get("cost")
        if cost:
            yield AdvisedWork(
                code=code,
                kind=row.kind,
                cost=cost,
                order_by_on=row.still_to_order_by_on,
            )
    if facts.planned or facts.options is None:
        return
    for said in facts.options.options:
        if said["recommended"] and said["kind"] != OptionKind.WATCH:
            yield AdvisedWork(
                code=code,
                kind=said["kind"],
                cost=said["cost"],
                order_by_on=_day(said["order_by_on"]),
            )


def may_cost(
    facts: Sequence[MachineRecord],
    *,
    undecided: Sequence[AdvisedWork] = (),
    reader: Reader,
) -> tuple[str, ...]:
    """Return what the work may cost, in plain words: decided, undecided, together.

    ``undecided`` is the first work that answers each matter nobody has decided.
    """
    if all(f.options is None and not f.planned for f in facts):
        return (_("Not estimated in this report."),)
    decided, still = _decided_and_open(facts, undecided)
    found = [*decided, *still]
    if not found:
        return (
            _(
                "No work is chosen or advised. What the options may cost stands on the "
                "machine pages."
            ),
        )
    sums = (
        *_sums(decided, _("Work that is chosen or advised: %(sum)s (%(machines)s).")),
        *_sums(
            still,
            _(
                "Not decided yet, if the first work that answers is chosen: %(sum)s "
                "(%(machines)s)."
            ),
        ),
    )
    if decided and still:
        sums += tuple(_sums(found, _("Together: %(sum)s (%(machines)s).")))
    rates = _(
        "Estimated by the contractor's own rates of today, all low and "
        "all high amounts added up; this is not a quotation."
    )
    unpriced = tuple(_unpriced(found, reader=reader))
    return (*sums, *unpriced, *((rates,) if sums else ()))


def total(
    facts: Sequence[MachineRecord],
    *,
    undecided: Sequence[AdvisedWork],
    unpriced: Sequence[str],
) -> str:
    """Return one line for under the table of decisions; empty where nothing is known.

    ``unpriced`` are machines with a matter that is not estimated: they are named, and
    a sum never looks whole that is not.
    """
    decided, still = _decided_and_open(facts, undecided)
    found = [*decided, *still]
    sums = list(_sums(found, _("Together: %(sum)s (%(machines)s).")))
    without = [c.code for c in found if c.cost["mid"] is None]
    priced = {c.code for c in found if c.cost["mid"] is not None}
    named = [
        _("another matter of %(machine)s") % {"machine": code}
        if code in priced
        else code
        for code in dict.fromkeys((*unpriced, *without))
    ]
    if sums and named:
        sums.append(
            _("Not in it, as not estimated: %(machines)s.")
            % {"machines": ", ".join(named)}
        )
    return " ".join(sums)


def _decided_and_open(
    facts: Sequence[MachineRecord], undecided: Sequence[AdvisedWork]
) -> tuple[list[AdvisedWork], list[AdvisedWork]]:
    """Return what is chosen or advised, and of the rest what is not among it."""
    decided = [course for f in facts for course in courses(f)]
    seen = {(course.code, course.kind) for course in decided}
    return decided, [one for one in undecided if (one.code, one.kind) not in seen]


def first_order(facts: Sequence[MachineRecord], *, reader: Reader, today: date) -> str:
    """Return the first day to order by, and for which machine; empty for none."""
    dated = [
        (course.order_by_on, course.code, course.kind)
        for f in facts
        for course in courses(f)
        if course.order_by_on is not None
    ]
    if not dated:
        return ""
    day, code, kind = min(dated)
    if day < today:
        text = _(
            "To be ordered at once: the day to order by was %(day)s (%(machine)s: "
            "%(option)s)."
        )
    else:
        text = _("The first day to order by is %(day)s (%(machine)s: %(option)s).")
    return text % {
        "day": reader.day(day),
        "machine": code,
        "option": spoken.kind(kind, reader=reader),
    }


def order_day(day: date | None, *, reader: Reader, today: date) -> str:
    """Return a day to order by as told in a table; empty for none."""
    if day is None:
        return ""
    if day < today:
        return _("overdue since %(day)s") % {"day": reader.day(day)}
    return reader.day(day)


def _answers(said: Mapping[str, Any], topic: str) -> bool:
    return topic in {matters.topic_of(key) for key in said.get("addresses", ())}


def _words(said: Mapping[str, Any], *, reader: Reader) -> str:
    name = {"option": spoken.kind(said["kind"], reader=reader)}
    if said["recommended"]:
        return _("advised: %(option)s") % name
    text = _("nothing advised yet; first that answers it: %(option)s") % name
    unknown = spoken.listed(saying.items_of(said, "measure_before"), reader=reader)
    if not unknown:
        return text
    return _("%(advice)s; to be known first: %(items)s") % {
        "advice": text,
        "items": unknown,
    }


def _with_remark(text: str, facts: MachineRecord, kind: str, *, reader: Reader) -> str:
    """Return what is advised, with the remark at the last such work."""
    remark = remarks.at_last(kind, facts.snapshot.works, reader=reader)
    return f"{text}; {remark}" if remark else text


def _sums(found: Sequence[AdvisedWork], text: str) -> Iterator[str]:
    for currency in dict.fromkeys(course.cost["currency"] for course in found):
        priced = [
            course
            for course in found
            if course.cost["currency"] == currency and course.cost["mid"] is not None
        ]
        if priced:
            yield text % {
                "sum": money.between(
                    sum(course.cost["low"] for course in priced),
                    sum(course.cost["high"] for course in priced),
                    currency,
                ),
                "machines": ", ".join(dict.fromkeys(c.code for c in priced)),
            }


def _unpriced(found: Sequence[AdvisedWork], *, reader: Reader) -> Iterator[str]:
    for course in found:
        if course.cost["mid"] is None:
            yield _("%(machine)s, %(option)s: %(cost)s.") % {
                "machine": course.code,
                "option": spoken.kind(course.kind, reader=reader),
                "cost": money.cost(course.cost, reader=reader),
            }


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None
