"""Each form of each page, sent as people send forms: oddly, twice, too late."""

import copy
import html
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import timedelta
from typing import Any
from urllib.parse import urlencode

import pytest
from django.db import transaction
from django.db.models import F
from django.test import Client
from django.urls import resolve

from fleet.models import Change, RopeSet, Sheave, SheaveGeometry, Token, Work
from fleet.platform import printing
from fleet.platform.pages.forms import FormPage
from inspections.models import DueWork, OptionSet, PlannedWork
from tests import browsers, callers, estates, factories
from tests.access import people
from tests.access.doors import ANY
from tests.access.matrix import MATRIX, NO, Door
from tests.inspections.test_work_pages import option

pytestmark = pytest.mark.django_db

# A name as somebody may have it, or as somebody tries it: 200 letters in all.
HOSTILE = ("\"><script>x</script>\u202e\u0394' & {{ 7*7 }} " + "n" * 200)[:200]
# A key is a person's, and hers the contractor's.
OF_CONTRACTOR = {Token: "membership__contractor"}
ROLES = ("OFFICE", "TECHNICIAN", "OWNER_READER")
# `FormPage` does these itself: `.ci/long doors` tries them with each form.
BY_EVERY_FORM_ALIKE = ("session_ended", "changed_meanwhile")
# What an address says besides, where the form follows from it.
QUERY = {
    "machines/<pk>/answer": "work=RE_ROPE",
    "machines/<pk>/done": "kind=REPAIR",
}
# What no page sends, in fields that people see and in those that a page carries.
ODD = ("[" * 20_000, "[[[1], 2]]", "9" * 5_000)
ASKED = ("changes", "owner", "building", "kind", "option", "scenario", "work", "unsent")
# Nothing of the row itself is changed, so nobody can have changed it before.
BESIDE_THE_ROW = {"machines/<pk>/set-up/readings", "imports/<pk>"}


@dataclass(frozen=True, kw_only=True)
class Shown:
    """A form as its page shows it to somebody."""

    path: str
    address: str
    door: Door
    pk: int
    browser: Client
    page: str

    @property
    def fields(self) -> dict[str, str]:
        """Return what a browser would send for it as it stands."""
        found = {}
        for tag in re.findall(r"<input[^>]*>", self.page):
            name, value = (_in(tag, word) for word in ("name", "value"))
            is_ticked = "checked" in tag or not re.search("radio|checkbox", tag)
            if name and is_ticked:
                found[name] = value
        for name, text in re.findall(
            r'<textarea name="([^"]+)"[^>]*>\n?(.*?)</textarea>', self.page, re.S
        ):
            found[name] = html.unescape(text)
        for name, body in re.findall(
            r'<select name="([^"]+)"[^>]*>(.*?)</select>', self.page, re.S
        ):
            chosen = re.search(r'value="([^"]*)"[^>]*? selected', body)
            found[name] = html.unescape(chosen[1]) if chosen else ""
        return found

    @property
    def texts(self) -> list[str]:
        """Return the fields in which anything can be written."""
        tags = re.findall(r'<(?:input type="text"|textarea)[^>]*>', self.page)
        return [_in(tag, "name") for tag in tags if "inputmode" not in tag]

    @property
    def numbers(self) -> list[str]:
        tags = re.findall(r"<input[^>]*inputmode=[^>]*>", self.page)
        return [_in(tag, "name") for tag in tags if "decimal" in tag]

    @property
    def units(self) -> list[str]:
        names = (f"{name[:-1]}1" for name in self.numbers if name.endswith("_0"))
        return [name for name in names if f'<select name="{name}"' in self.page]

    def send(self, **typed: str) -> Any:
        """Send it; what that stores is taken back."""
        with taken_back():
            return self.browser.post(self.address, self.fields | typed)


def _in(tag: str, word: str) -> str:
    found = re.search(rf'{word}="([^"]*)"', tag)
    return html.unescape(found[1]) if found else ""


@contextmanager
def taken_back() -> Iterator[None]:
    factories.forget_tenant()
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


@pytest.fixture
def world(world, settings, tmp_path, monkeypatch):
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.setattr("celery.current_app.send_task", lambda *_, **__: None)
    found = people.with_files(world)
    callers.confine(found.north)
    choice = {"kind": "LUBRICATE", "possible": "YES", "recommended": True}
    OptionSet.objects.update(options=[option(**choice)])
    # Done since the last reading of the stop that it answers.
    Work.objects.update(kind="ROPING", done_on=estates.AT.date())
    DueWork.objects.update(hoists=True)
    PlannedWork.objects.create(
        contractor=found.north.contractor,
        machine=DueWork.objects.filter(contractor=found.north.contractor)[0].machine,
        kind="REGROOVE_IN_PLACE",
        state="DONE",
        chosen_at=estates.AT,
        done_on=estates.AT.date(),
    )
    return found


def doors() -> Iterator[tuple[str, Door, str]]:
    """Yield each form's path and door with a role that may send it."""
    for (method, path), door in MATRIX.items():
        if method != ANY or path.startswith("admin/"):
            continue
        view = resolve("/" + people.address(path, 1)).func
        if issubclass(getattr(view, "view_class", object), FormPage):
            yield path, door, next(r for r in ROLES if door.cell(r) != NO)


def forms(world: estates.World) -> Iterator[Shown]:
    """Yield each form that is shown, on the first row that has one."""
    browsers_of = {
        role: browsers.confirmed(world.north.memberships[role].person) for role in ROLES
    }
    for path, door, role in doors():
        callers.confine(world.north)
        rows = people.visible(world, world.north, door, role) if "<pk>" in path else {1}
        for pk in sorted(rows):
            address = f"/{people.address(path, pk)}?{QUERY.get(path, '')}"
            factories.forget_tenant()
            page = browsers_of[role].get(address).content.decode()
            main = page.partition("<main")[2].partition("</main>")[0]
            if 'name="mark"' in main:
                yield Shown(
                    path=path,
                    address=address,
                    door=door,
                    pk=pk,
                    browser=browsers_of[role],
                    page=main,
                )
                break


def tried(
    world: estates.World,
    *,
    seldom: tuple[str, ...] = (),
    **checks: Callable[[Shown], str | None],
) -> list[str]:
    """Return what is wrong with forms: its path, the check, and what came of it.

    Each form is fetched once for all checks; whatever one of them stores or is given as
    a cookie, the next knows nothing of. Checks that are named `seldom` are made of
    every fourth form.
    """
    wrong, paths = [], set()
    for number, form in enumerate(forms(world)):
        paths.add(form.path)
        cookies = copy.deepcopy(form.browser.cookies)
        for name, check in checks.items():
            if name in seldom and number % 4:
                continue
            if said := check(form):
                wrong.append(f"{form.path}: {name}: {said}")
            form.browser.cookies = copy.deepcopy(cookies)
    assert {path for path, _, _ in doors()} - paths == {"imports/store"}
    return wrong


@pytest.mark.parametrize(
    "seldom", [BY_EVERY_FORM_ALIKE, pytest.param((), marks=pytest.mark.long)]
)
def test_each_form_is_shown_and_holds_against_whatever_is_sent(world, seldom):
    done, told = set(), set()

    wrong = tried(
        world,
        seldom=seldom,
        unknown_unit=refuses_an_unknown_unit,
        session_ended=brings_back_what_was_typed,
        sent_twice=lambda form: is_done_once(form, done),
        changed_meanwhile=lambda form: tells_the_second_of_two(form, world, told),
        of_another=lambda form: hides_anothers_row(form, world),
    )

    assert wrong == []
    assert len(done) > 12
    assert len(told) > (2 if seldom else 8)


def refuses_an_unknown_unit(form):
    """Each quantity's unit is refused beside it."""
    typed = dict.fromkeys(form.units, "parsec")
    typed |= {f"{name[:-1]}0": "1" for name in form.units}
    page = form.send(**typed).content.decode()
    refused = page.count('_error">This unit is not taken here.')
    return None if refused == len(form.units) else f"{refused} of {form.units}"


def times_in(page):
    """Count the hostile text, but for the sign that a page takes out to be read."""
    left = printing.without_turning(HOSTILE)
    return printing.without_turning(page).count(html.escape(left))


def brings_back_what_was_typed(form):
    """What was typed when the session had ended comes back unsent."""
    typed = dict.fromkeys(form.texts, HOSTILE)
    with taken_back():
        ended = Client().post(form.address, form.fields | typed)
        way = re.search(r"unsent%3D([0-9a-f]+)", ended["Location"])
        if way is None:
            return f"led to {ended['Location']}"
        factories.forget_tenant()
        page = form.browser.get(f"{form.address}&unsent={way[1]}").content.decode()
    back = times_in(page)
    return None if back >= len(typed) else f"{back} of {len(typed)} came back"


def is_done_once(form, done):
    """Sent twice, it is done once and leads to the same page."""
    body = form.fields
    with taken_back():
        first = form.browser.post(form.address, body)
        if first.status_code != 302:
            return None
        done.add(form.path)
        changes = Change.objects.count()
        second = form.browser.post(form.address, body)
        if second.headers.get("Location") != first["Location"]:
            return f"{second.status_code} after {first['Location']}"
        more = Change.objects.count() - changes
    return f"{more} changes more" if more else None


def tells_the_second_of_two(form, world, told):
    """Who sends it after another has changed the row is told, and loses nothing."""
    if "<pk>" not in form.path or form.path in BESIDE_THE_ROW:
        return None
    if 'name="read"' not in form.page:
        return None
    told.add(form.path)
    with taken_back():
        callers.confine(world.north)
        for model in {form.door.model, Sheave, SheaveGeometry, RopeSet} - {Token}:
            model.objects.update(version=F("version") + 1)
        # A key's row has no version: its ends tell two states apart.
        sooner = F("expires_at") - timedelta(hours=1)
        Token.objects.filter(pk=form.pk).update(expires_at=sooner)
        typed = dict.fromkeys(form.texts, HOSTILE)
        answer = form.browser.post(form.address, form.fields | typed)
    page = answer.content.decode()
    if answer.status_code not in (400, 409):
        return f"status {answer.status_code}"
    lost = times_in(page) < len(typed)
    return "what was typed is lost" if lost else None


def hides_anothers_row(form, world):
    """A row of another contractor is as absent as none."""
    if "<pk>" not in form.path:
        return None
    callers.confine(world.south)
    path = OF_CONTRACTOR.get(form.door.model, "contractor")
    theirs = form.door.model.objects.filter(**{path: world.south.contractor})
    pk = theirs.first().pk
    address = "/" + people.address(form.path, pk)
    factories.forget_tenant()
    answers = (form.browser.get(address), form.browser.post(address, form.fields))
    found = {answer.status_code for answer in answers}
    return None if found == {404} else f"{found} for {address}"


@pytest.mark.long
def test_any_name_is_kept_or_refused_in_words_and_never_becomes_markup(world):
    def one(form):
        # Where nothing is typed, as for another key, there is nothing to try.
        for names in filter(None, (form.texts, [*form.texts, *form.numbers])):
            answer = form.send(**dict.fromkeys(names, HOSTILE))
            page = answer.content.decode()
            if answer.status_code not in (302, 400, 409):
                return f"status {answer.status_code}"
            if "<script>x" in page:
                return "markup came through"
            if answer.status_code == 400:
                lost = [n for n in names if times_in(page) == 0]
                if lost:
                    return f"{lost} did not come back"
        return None

    assert tried(world, one=one) == []


@pytest.mark.long
def test_no_form_falls_over_what_its_fields_hold(world):
    assert tried(world, odd=falls_over_nothing) == []


def falls_over_nothing(form):
    """Whatever stands in its fields, or its address, is refused in words or taken."""
    fell = []
    kept = {"mark", "csrfmiddlewaretoken"}
    for odd in ODD:
        typed = {name: odd for name in form.fields if name not in kept}
        with taken_back():
            sent = form.browser.post(form.address, form.fields | typed)
        if sent.status_code not in (302, 400, 409):
            fell.append((odd[:20], sent.status_code))
    asked = urlencode(dict.fromkeys(ASKED, ODD[0]))
    shown = form.browser.get(f"{form.address}&{asked}")
    if shown.status_code not in (200, 400, 404, 422):
        fell.append(("asked", shown.status_code))
    return fell or None


@pytest.mark.long
def test_a_comma_is_a_decimal_mark_in_each_number_of_each_form(world):
    def one(form):
        page = form.send(**dict.fromkeys(form.numbers, "1,5")).content.decode()
        return re.findall("[^<>]*(?:not a number|two ways)[^<>]*", page)

    assert tried(world, one=one) == []
