"""Sentences of options that carry something of the moment: how each is found and said.

The name of a group says how what it found is told: a matter, a day, a length.
"""

import re

from django.utils.translation import gettext_noop

_DATE = r"\d{4}-\d\d-\d\d"
_SAID = (
    (r"never watched: (?P<matter>.+)", gettext_noop("never watched: %(matter)s")),
    (
        "monitoring alone is not enough for: (?P<matter>.+)",
        gettext_noop("monitoring alone is not enough for: %(matter)s"),
    ),
    (
        r"new ropes would run in grooves with an open finding: (?P<matter>.+)",
        gettext_noop("new ropes would run in grooves with an open finding: %(matter)s"),
    ),
    (
        r"a person has to look: (?P<matter>.+)",
        gettext_noop("a person has to look: %(matter)s"),
    ),
    (
        rf"(?P<place>.+) is due before (?P<day>{_DATE}), within (?P<years>[\d.]+) "
        r"years, and its cut needs new ropes again",
        gettext_noop(
            "%(place)s is due before %(day)s, within %(years)s years, and its cut "
            "needs new ropes again"
        ),
    ),
    (
        r"(?P<count>\d+) further cuts would fit after it, (?P<least>[\d.]+) asked for: "
        r"the sheave has to be replaced with the next wear",
        gettext_noop(
            "further cuts that would fit after it: %(count)s, asked for: %(least)s; "
            "the sheave has to be replaced with the next wear"
        ),
    ),
    (
        r"groove (?P<number>\d+) keeps (?P<metal_mm>-?[\d.]+) mm in the worst case, "
        r"less than (?P<least_mm>[\d.]+) mm",
        gettext_noop(
            "groove %(number)s keeps %(metal_mm)s in the worst case, less than "
            "%(least_mm)s"
        ),
    ),
    (
        r"pitch diameter (?P<diameter_mm>[\d.]+) mm, the maker's least is "
        r"(?P<least_mm>[\d.]+) mm",
        gettext_noop(
            "pitch diameter %(diameter_mm)s, the maker's least is %(least_mm)s"
        ),
    ),
    (
        r"a chance of (?P<is_share>[\d.e-]+) that a groove keeps less than the maker's "
        r"least metal, more than (?P<most_share>[\d.e-]+)",
        gettext_noop(
            "a chance of %(is_share)s that a groove keeps less than the maker's least "
            "metal, more than %(most_share)s"
        ),
    ),
    (
        r"D/d would be (?P<ratio>[\d.]+) after the cut, (?P<worst>[\d.]+) at worst, "
        r"less than (?P<least>[\d.]+)",
        gettext_noop(
            "D/d would be %(ratio)s after the cut, %(worst)s at worst, less than "
            "%(least)s"
        ),
    ),
    (
        "traction is insufficient with the grooves as re-cut: (?P<cases>.+)",
        gettext_noop("traction is insufficient with the grooves as re-cut: %(cases)s"),
    ),
    (
        r"a traction test, since by a borrowed method (?P<sentence>.+)",
        gettext_noop("a traction test, since by a borrowed method %(sentence)s"),
    ),
    (
        r"(?P<item>.+): it blurs the date of (?P<limit>.+) most",
        gettext_noop("%(item)s: it blurs the date of %(limit)s most"),
    ),
    (
        rf"the day to order by, (?P<day>{_DATE}), is past",
        gettext_noop("the day to order by, %(day)s, is past"),
    ),
    (
        r"Take the machine out of service until a competent person has decided: "
        r"(?P<matters>.+)\.",
        gettext_noop(
            "Take the machine out of service until a competent person has decided: "
            "%(matters)s."
        ),
    ),
    (
        r"(?P<item>metal or seat depth|metal|seat depth) of groove (?P<number>[\d, ]+)",
        gettext_noop("%(item)s of groove %(number)s"),
    ),
    (
        r"depth to turn below the seats as last turned; groove (?P<number>\d+) is the "
        r"deepest at (?P<depth_mm>-?[\d.]+) mm",
        gettext_noop(
            "depth to turn below the seats as last turned; groove %(number)s is the "
            "deepest at %(depth_mm)s"
        ),
    ),
    (
        r"pitch diameter of all grooves after the cut, equal within "
        r"(?P<equal_mm>[\d.]+) mm",
        gettext_noop(
            "pitch diameter of all grooves after the cut, equal within %(equal_mm)s"
        ),
    ),
    (
        rf"(?P<text>none found|a crack was found|not done) (?P<day>{_DATE})",
        gettext_noop("%(text)s (%(day)s)"),
    ),
    (r"hours to (?P<work>.+)", gettext_noop("hours to %(work)s")),
    (r"shop or cutter to (?P<work>.+)", gettext_noop("shop or cutter to %(work)s")),
    (r"missing: (?P<items>.+)", gettext_noop("missing: %(items)s")),
)

PATTERNS = tuple((re.compile(pattern), words) for pattern, words in _SAID)
