"""Whatever a page's form can be refused for has words in German too."""

import importlib
import pkgutil

from django.utils import translation

import fleet
import inspections
import reports
from fleet.platform.errors import DomainError
from fleet.platform.pages.forms import refusals
from inspections.releases.problems import NotReadAsLeft
from reports.publishing import releasing

# Rooms whose activities no form of a page calls, and what is never shown in words.
NO_PAGE = (
    *("fleet.demo", "fleet.platform.api"),
    *("fleet.platform.errors", "fleet.platform.units", "fleet.register.erasing"),
    *("fleet.register.registry", "fleet.register.exchange.folders"),
    *("inspections.releases.copying", "inspections.releases.moving"),
    *("inspections.versions", "inspections.intake.decode", "reports.api"),
    *("reports.delivery.links", "fleet.platform.pages.forms.refusals", "tests"),
)
# The API alone: another person's factor, and the factor of a caller by name; and what
# is only ever refused as one of its children.
NO_FORM = {"KeepersFactor", "NoSuchFactor", "_Sayable"}


def refused_on_pages(parent=DomainError):
    for each in parent.__subclasses__():
        is_there = not each.__module__.startswith(NO_PAGE)
        if is_there and each.__name__ not in NO_FORM:
            yield each
        yield from refused_on_pages(each)


def test_each_rule_that_a_page_meets_has_its_german():
    for app in (fleet, inspections, reports):
        for found in pkgutil.walk_packages(app.__path__, f"{app.__name__}."):
            if found.name.endswith(
                (".problems", ".order", ".releasing", ".bulk", ".giving")
            ):
                importlib.import_module(found.name)
    rules = {each.__doc__.strip().splitlines()[0] for each in refused_on_pages()}

    with translation.override("de"):
        missing = {rule for rule in rules if translation.gettext(rule) == rule}

    assert missing == set()
    assert len(rules) > 35


def test_what_a_rule_names_is_said_beside_it_in_its_own_language():
    error = NotReadAsLeft("to be read as left after 2026-05-04 10:00 UTC: looked at")
    with translation.override("de"):
        said = refusals.in_words(error)
        plain = refusals.in_words(NotReadAsLeft())
        waiting = refusals.in_words(releasing.NotWaiting("this report is published"))

    assert said.startswith("Was die Stilllegung auslöste, wurde an seiner Stelle")
    assert said.endswith("Auf Englisch: " + error.detail)
    assert "Englisch" not in plain
    assert waiting.startswith("Dieser Bericht wartet nicht")
    with translation.override("en"):
        assert refusals.in_words(error) == error.detail
