"""One module for each course that can be taken; each works its option out."""

from inspections.decisions.kinds_of_work import (
    degrease,
    equalise,
    lubricate,
    measure_first,
    re_rope,
    regroove,
    renew_rim,
    replace_sheave,
    shorten,
    watch,
)
from inspections.decisions.records import Option
from inspections.decisions.situation import Situation


def every(*, situation: Situation) -> tuple[Option, ...]:
    """Return the option of every kind, not yet ranked, in the order of OptionKind."""
    return (
        watch.work_out(situation=situation),
        measure_first.work_out(situation=situation),
        equalise.work_out(situation=situation),
        degrease.work_out(situation=situation),
        lubricate.work_out(situation=situation),
        shorten.work_out(situation=situation),
        re_rope.work_out(situation=situation),
        regroove.in_place(situation=situation),
        regroove.in_shop(situation=situation),
        renew_rim.work_out(situation=situation),
        replace_sheave.work_out(situation=situation),
    )
