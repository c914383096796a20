"""What ends a stop, in words."""

from django.utils.translation import gettext

from fleet.register.choices import WorkKind
from inspections.kinds import KINDS
from inspections.models import Reading, Stop
from inspections.stops import causes

CASE = "case"


def ended_by(stop: Stop) -> str:
    """Return what ends a stop: work, a reading as left, acceptance."""
    rule = causes.RULES[stop.cause]
    names = dict(WorkKind.choices)
    done = ", ".join(gettext(str(names[each])) for each in rule.works)
    read = [gettext(KINDS[code].name) for code in reads_of(stop) if code in KINDS]
    text = gettext(
        "one of these works: {works}; then read as left: {reads}; then acceptance by a "
        "competent person who did not do the work"
    )
    reads = ", ".join(read) or gettext("a reading as left")
    return text.format(works=done, reads=reads)


def reads_of(stop: Stop) -> tuple[str, ...]:
    """Return the kinds of reading of which one answers a stop's cause.

    Of a test that failed in named cases only what is tried in a case.
    """
    reads = causes.RULES[stop.cause].reads
    in_cases = tuple(code for code in reads if CASE in KINDS[code].place)
    if not in_cases or len(in_cases) == len(reads) or not failed_cases(stop):
        return reads
    return in_cases


def failed_cases(stop: Stop) -> tuple[str, ...]:
    """Return the cases of a test in which a stop's readings say that it failed."""
    rows = Reading.objects.filter(
        contractor_id=stop.contractor_id, pk__in=stop.readings, place__has_key=CASE
    )
    return tuple(
        sorted(
            {
                place[CASE]
                for kind, word, place in rows.values_list("kind", "word", "place")
                if word in KINDS[kind].unsafe_words
            }
        )
    )
