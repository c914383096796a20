"""Forms of pages: refused in words, sent once, never lost, never somebody else's."""

import re
from datetime import timedelta

import pytest
import time_machine
from django.test import Client
from django.utils import timezone

from fleet.models import Owner, SentForm
from fleet.platform.pages.forms import keeping, marks
from tests import callers, factories

pytestmark = pytest.mark.django_db
HOSTILE = '<script>x</script>"\u200f' + "n" * 170


@pytest.fixture(autouse=True)
def _addresses(settings):
    settings.ROOT_URLCONF = "tests.fleet.platform.pages.addresses"


def browser(cast, role="OFFICE", **how):
    found = Client(**how)
    found.force_login(cast.memberships[role].person)
    return found


def hidden(answer):
    """Return what the form carries besides what people type."""
    named = re.findall(
        r'<input type="hidden" name="(mark|read)" value="([^"]*)"',
        answer.content.decode(),
    )
    return dict(named)


def text(answer):
    return " ".join(answer.content.decode().split())


def owner_of(cast, code="mill"):
    callers.confine(cast)
    return Owner.objects.within(cast.scope()).get(code=code)


def owners(cast):
    callers.confine(cast)
    return Owner.objects.within(cast.scope()).count()


NEW = {"name": "Weir Estate", "code": "weir", "width_0": "", "width_1": "mm"}


def test_faults_stand_at_the_field_and_at_the_top_and_nothing_is_lost(north):
    client = browser(north)
    form = hidden(client.get("/tried/new"))

    answer = client.post("/tried/new", form | NEW | {"name": "", "width_0": "0,2"})

    page = text(answer)
    assert answer.status_code == 400
    assert '<a href="#id_name">Name</a>: This field is required.' in page
    assert 'id="id_name_error"' in page
    assert page.count("It must be at least 1 mm.") == 2
    assert 'value="0,2"' in page
    assert 'value="weir"' in page
    assert hidden(answer)["mark"] == form["mark"]


@pytest.mark.parametrize(
    ("typed", "unit", "said"),
    [
        ("1,234", "mm", "can be read in two ways. Write 1.234 or 1234"),
        ("1.234,5", "mm", "leave out the mark for thousands"),
        ("twelve", "mm", "is not a number. Write it like 11.8 or 11,8"),
        ("800 mm", "mm", "The unit is chosen beside it."),
        ("12", "kg", "This unit is not taken here. Use one of: mm, cm, m, in, ft."),
        ("12", "", "This unit is not taken here"),
        ("12\u200f", "mm", "is not a number"),
        ("1e3", "mm", "is not a number"),
    ],
)
def test_what_can_be_read_in_two_ways_or_none_is_refused_in_words(
    north, typed, unit, said
):
    client = browser(north)
    form = hidden(client.get("/tried/new"))

    answer = client.post("/tried/new", form | NEW | {"width_0": typed, "width_1": unit})

    assert answer.status_code == 400
    assert said in text(answer)
    assert owners(north) == 2


def test_what_the_rules_and_the_database_refuse_is_said_on_the_form(north):
    client = browser(north)
    form = hidden(client.get("/tried/new"))

    taken = client.post("/tried/new", form | NEW | {"code": "mill"})
    nobody = client.post("/tried/new", form | NEW | {"name": "nobody"})

    assert taken.status_code == nobody.status_code == 400
    assert "is registered already" in text(taken)
    assert '<a href="#id_name">Name</a>: Name somebody.' in text(nobody)
    # What was refused is not done: the same form can be sent again.
    assert client.post("/tried/new", form | NEW).status_code == 302


def test_a_form_sent_twice_is_done_once_and_leads_to_the_same_place(north):
    client = browser(north)
    form = hidden(client.get("/tried/new")) | NEW

    first, second = (client.post("/tried/new", form) for _ in range(2))
    third = client.post("/tried/new", form | {"code": "weir-2"})

    assert first["Location"] == second["Location"]
    assert owners(north) == 3
    assert third.status_code == 409
    assert "sent before, with something else in it" in text(third)
    # Looked over and sent on purpose, it is another one.
    again = hidden(third) | NEW | {"code": "weir-2"}
    assert client.post("/tried/new", again).status_code == 302
    assert owners(north) == 4


def test_the_second_of_two_is_told_what_the_first_changed_and_loses_nothing(north):
    owner = owner_of(north)
    address = f"/tried/{owner.pk}"
    slow, quick = browser(north), browser(north)
    carried = hidden(slow.get(address))
    own = {"name": "Mill Estate", "code": "mill", "width_0": "", "width_1": "mm"}
    first = hidden(quick.get(address)) | own | {"name": "Old Mill", "code": "old-mill"}
    assert quick.post(address, first).status_code == 302

    told = slow.post(address, carried | own | {"name": "Mill Trust"})

    page = text(told)
    assert told.status_code == 409
    assert "north-office changed this" in page
    assert "<strong>Name</strong>: was “Mill Estate”, is now “Old Mill”." in page
    assert "You typed “Mill Trust”" in page
    assert "<strong>Code</strong>: was “mill”, is now “old-mill”." in page
    assert 'value="Mill Trust"' in page
    assert 'value="old-mill"' in page
    assert owner_of(north, "old-mill").name == "Old Mill"
    # Sent again after a look: what was typed, and what the other changed besides.
    own |= {"name": "Mill Trust", "code": "old-mill"}
    assert slow.post(address, hidden(told) | own).status_code == 302
    assert owner_of(north, "old-mill").name == "Mill Trust"


def test_a_session_that_ended_brings_back_what_was_typed_without_secrets(north):
    client = browser(north)
    form = hidden(client.get("/tried/new"))
    typed = form | NEW | {"name": HOSTILE, "word": "a secret"}
    client.logout()
    factories.forget_tenant()

    ended = client.post("/tried/new", typed)

    back = ended["Location"]
    assert back.startswith("/log-in?next=/tried/new%3Funsent%3D")
    assert owners(north) == 2
    client.force_login(north.memberships["OFFICE"].person)
    way = "/tried/new?unsent=" + back.rsplit("%3D", 1)[1]
    page = client.get(way)
    assert "This was not sent" in text(page)
    assert "&lt;script&gt;x&lt;/script&gt;&quot;\u200f" in text(page)
    assert "<script>x" not in text(page)
    kept = SentForm.objects.within(north.scope()).get()
    assert "word" not in kept.typed
    assert "csrfmiddlewaretoken" not in kept.typed
    # Sent now, it is done, and the kept row goes.
    assert client.post(way, typed | hidden(page)).status_code == 302
    callers.confine(north)
    row = SentForm.objects.within(north.scope()).get()
    assert row.typed is None
    assert row.done_at is not None
    assert Owner.objects.within(north.scope()).get(code="weir").name == HOSTILE


def test_what_one_typed_comes_to_nobody_else(north, south):
    client = browser(north)
    typed = hidden(client.get("/tried/new")) | NEW
    client.logout()
    factories.forget_tenant()
    back = client.post("/tried/new", typed)["Location"].rsplit("%3D", 1)[1]

    for other in (
        browser(south),
        browser(north, "TECHNICIAN"),
    ):
        factories.forget_tenant()
        page = text(other.get(f"/tried/new?unsent={back}"))
        assert "Weir Estate" not in page
    # Nor does a form that one opened act in another's name.
    stranger = browser(south)
    factories.forget_tenant()
    answer = stranger.post("/tried/new", typed)
    assert answer.status_code == 409
    assert "opened by somebody else" in text(answer)
    assert owners(south) == 2


def test_a_forged_or_old_mark_stores_nothing(north):
    client = browser(north)
    typed = hidden(client.get("/tried/new")) | NEW
    stranger = Client()
    factories.forget_tenant()

    forged = stranger.post("/tried/new", typed | {"mark": "x" + typed["mark"]})
    later = timezone.now() + timedelta(seconds=marks.LONGEST_S + 1)
    with time_machine.travel(later, tick=False):
        client.force_login(north.memberships["OFFICE"].person)
        late = client.post("/tried/new", typed)

    assert forged["Location"] == "/log-in?next=/tried/new"
    assert late.status_code == 409
    assert "opened too long ago" in text(late)
    assert 'value="Weir Estate"' in text(late)
    callers.confine(north)
    assert not SentForm.objects.filter(contractor=north.contractor).exists()
    assert owners(north) == 2


def test_a_page_token_of_before_a_log_in_brings_the_form_back(north):
    client = browser(north, enforce_csrf_checks=True)
    typed = hidden(client.get("/tried/new")) | NEW

    answer = client.post("/tried/new", typed | {"word": "a secret"})
    bare = client.post("/tried/new", NEW)

    assert answer.status_code == 302
    assert answer["Location"].startswith("/tried/new?unsent=")
    assert 'value="Weir Estate"' in text(client.get(answer["Location"]))
    assert bare.status_code == 403
    assert "The form was not taken" in text(bare)
    callers.confine(north)
    assert "word" not in SentForm.objects.within(north.scope()).get().typed
    assert owners(north) == 2


def test_a_guarded_form_asks_who_it_is_and_comes_back_with_what_was_typed(north):
    client = browser(north)
    asked = client.get("/tried/guarded")
    mark = marks.fresh(north.scope())

    answer = client.post("/tried/guarded", NEW | {"mark": mark})

    assert asked["Location"] == "/confirm?next=%2Ftried%2Fguarded"
    assert answer["Location"].startswith("/confirm?next=%2Ftried%2Fguarded%3Funsent%3D")
    assert owners(north) == 2


def test_foreign_rows_are_absent_and_roles_are_refused(north, south):
    foreign = owner_of(south).pk
    client = browser(north)
    mark = hidden(client.get("/tried/new"))

    assert client.get(f"/tried/{foreign}").status_code == 404
    assert client.post(f"/tried/{foreign}", mark | NEW).status_code == 404
    assert browser(north, "TECHNICIAN").get("/tried/new").status_code == 403


def test_old_forms_are_forgotten_and_unsent_ones_of_who_was_let_go(north):
    client = browser(north)
    typed = hidden(client.get("/tried/new")) | NEW
    client.logout()
    factories.forget_tenant()
    client.post("/tried/new", typed)
    member = north.memberships["OFFICE"]
    callers.confine(north)

    assert keeping.prune(before=timezone.now() - timedelta(days=1)) == 0
    callers.confine(north)
    keeping.end_for(member, at=timezone.now())

    assert not SentForm.objects.within(north.scope()).exists()
