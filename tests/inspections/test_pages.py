"""The pages of machines as people open them: who is let in, what they read."""

import html
import re
from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from inspections import condition, overview, queries
from inspections.models import DueWork, Finding, Forecast, ReadingReview, Stop
from tests import callers, estates, factories

pytestmark = pytest.mark.django_db
ROLES = ("OFFICE", "TECHNICIAN", "OWNER_READER")


def browser(cast: factories.Cast, role: str) -> Client:
    """Return a browser in which somebody of the role has logged in."""
    found = Client()
    found.force_login(cast.memberships[role].person)
    return found


def text_of(answer) -> str:
    return " ".join(answer.content.decode().split())


def machine_of(cast, code="MH-1"):
    callers.confine(cast)
    return factories.machine(cast.scope(), code)


def open_stop(cast, machine):
    """Return the machine's one open stop, of which nobody has heard."""
    rows = Stop.objects.within(cast.scope()).filter(machine=machine)
    stop = rows.first()
    open_again = {"released_at": None, "release": "", "acknowledged_at": None}
    rows.filter(pk=stop.pk).update(**open_again, acknowledged_by=None)
    return rows.get(pk=stop.pk)


def test_strangers_are_led_to_the_log_in_and_back():
    for name in ("portfolio", "readings-to-confirm", "today", "reports"):
        answer = Client().get(reverse(name))

        assert answer.status_code == 302
        assert answer["Location"] == f"/log-in?next={reverse(name)}"


@pytest.mark.parametrize("role", ROLES)
def test_a_foreign_machine_is_answered_like_an_absent_one(world, role):
    foreign = machine_of(world.south).pk
    client = browser(world.north, role)

    answers = [client.get(reverse("machine", args=(pk,))) for pk in (foreign, 10**9)]

    assert [answer.status_code for answer in answers] == [404, 404]
    bodies = [
        re.sub(rf"\b{pk}\b".encode(), b"", answer.content)
        for answer, pk in zip(answers, (foreign, 10**9), strict=True)
    ]
    # The forms' own tokens differ by request and are no part of what is said.
    plain = [
        [line for line in body.splitlines() if b"csrfmiddlewaretoken" not in line]
        for body in bodies
    ]
    assert plain[0] == plain[1]


@pytest.mark.parametrize("role", ROLES)
def test_each_role_sees_its_own_machines_only(world, role):
    own = machine_of(world.north).pk
    others = machine_of(world.north, "QC-1").pk
    client = browser(world.north, role)

    portfolio = text_of(client.get(reverse("portfolio")))

    assert reverse("machine", args=(own,)) in portfolio
    sees_all = role != "OWNER_READER"
    assert (reverse("machine", args=(others,)) in portfolio) is sees_all
    status = client.get(reverse("machine", args=(others,))).status_code
    assert status == (200 if sees_all else 404)


@pytest.mark.parametrize("role", ["TECHNICIAN", "OWNER_READER"])
@pytest.mark.parametrize("name", ["today", "readings-to-confirm"])
def test_the_offices_pages_are_refused_in_words(world, role, name):
    answer = browser(world.north, role).get(reverse(name))

    assert answer.status_code == 403
    assert "not for your role" in text_of(answer)


def test_a_stopped_machine_heads_the_portfolio_and_shouts_on_its_page(world):
    machine = machine_of(world.north, "QC-1")
    stop = open_stop(world.north, machine)
    client = browser(world.north, "OFFICE")

    lines = overview.lines(
        scope=world.north.scope(),
        wish=overview.Wish(),
        today=timezone.localdate(),
    ).lines
    page = text_of(client.get(reverse("machine", args=(machine.pk,))))
    today = text_of(client.get(reverse("today")))

    assert lines[0].state == overview.STOPPED
    for text in (page, today):
        assert "OUT OF SERVICE" in text
        assert stop.get_cause_display() in html.unescape(text)
        assert "nobody has acknowledged it yet" in text


def test_the_states_of_the_list_are_those_of_each_machine(world):
    scope = world.north.scope()
    callers.confine(world.north)
    today = timezone.localdate()
    assessments = {a.machine_id: a for a in queries.latest_assessments(scope=scope)}

    for machine in overview.machines(scope=scope, today=today):
        own = list(queries.current_forecasts(scope=scope).filter(machine=machine))
        grade = condition.grade_of(
            assessment=assessments.get(machine.pk), forecasts=own, today=today
        )
        stopped = queries.open_stops(scope=scope, machine_ids=[machine.pk]).exists()
        said = overview.STATES[machine.urgency]

        assert said == (overview.STOPPED if stopped else grade)


def test_a_line_of_the_list_says_what_the_machines_own_rows_say(world):
    scope = world.north.scope()
    callers.confine(world.north)
    today = timezone.localdate()
    machine = machine_of(world.north)
    stored = machine.forecasts.get(current=True)
    for number, day in enumerate((5, 2, 9), start=1):
        Forecast.objects.create(
            contractor=stored.contractor,
            machine=machine,
            quantity="depth",
            place=f"groove {number + 1}",
            as_of=stored.as_of,
            state="BEYOND" if number == 2 else "ESTABLISHED",
            model_version="1",
            track=stored.track,
            run=stored.run,
            plan_before_on=today + timedelta(days=day),
        )
    assessment = machine.assessments.latest("pk")
    for grade, chance in (("KEEP_AN_EYE_ON", 0.9), ("PLAN_WORK", 0.1)):
        Finding.objects.create(
            contractor=assessment.contractor,
            machine=machine,
            assessment=assessment,
            topic="bottoming",
            grade=grade,
            chance_beyond=chance,
            reason="seen",
        )

    [line] = [
        each
        for each in overview.lines(scope=scope, wish=overview.Wish(), today=today).lines
        if each.machine.pk == machine.pk
    ]

    own = queries.current_forecasts(scope=scope).filter(machine=machine)
    assert line.first == condition.first_limit(own)
    assert line.first.plan_before_on == today + timedelta(days=5)
    assert line.says_most.grade == "PLAN_WORK"
    assert line.last_read_at == max(machine.readings.values_list("taken_at", flat=True))
    assert line.due == DueWork.objects.within(scope).filter(machine=machine).first()


def test_the_portfolio_takes_as_many_queries_for_two_machines_as_for_many(
    world, django_assert_max_num_queries
):
    client = browser(world.north, "OFFICE")
    counted = []
    # The first request of a process fills caches of its own.
    client.get(reverse("portfolio"))
    for mark in ("few", "many"):
        with django_assert_max_num_queries(40) as looked:
            assert client.get(reverse("portfolio")).status_code == 200
        counted.append(len(looked.captured_queries))
        callers.confine(world.north)
        estates.grow(world.north, machines=12, mark=mark)

    assert counted[0] == counted[1]


def test_a_word_on_a_reading_is_kept_and_asked_for_with_its_why(world):
    # Above 1.08 times the nominal diameter: held.
    held = factories.upload(
        {"value": "14.5", "unit": "mm", "reference": "thick"}, reference="v-thick"
    )
    sent = callers.upload(world.north, held)
    [reading_id] = [entry["id"] for entry in sent.json()["readings"]]
    client = browser(world.north, "OFFICE")
    address = reverse("readings-to-confirm")

    silent = client.post(address, {"reading": reading_id, "accepted": "no", "why": " "})
    said = client.post(
        address, {"reading": reading_id, "accepted": "no", "why": "wrong rope"}
    )

    assert silent.status_code == 400
    assert "Say why" in text_of(silent)
    assert "14.5" in text_of(silent)
    assert said.status_code == 302
    callers.confine(world.north)
    review = ReadingReview.objects.within(world.north.scope()).get(reading=reading_id)
    assert (review.accepted, review.why) == (False, "wrong rope")
    assert review.membership_id == world.north.memberships["OFFICE"].pk


def test_hearing_of_a_stop_is_noted_by_name_and_only_where_it_may_be(world):
    machine = machine_of(world.north, "QC-1")
    stop = open_stop(world.north, machine)
    address = reverse("acknowledge-stop", args=(stop.pk,))

    assert browser(world.south, "OFFICE").post(address).status_code == 404
    assert browser(world.north, "OWNER_READER").post(address).status_code == 403
    callers.confine(world.north)
    assert Stop.objects.get(pk=stop.pk).acknowledged_at is None

    assert browser(world.north, "TECHNICIAN").post(address).status_code == 302
    callers.confine(world.north)
    heard = Stop.objects.get(pk=stop.pk)
    assert heard.acknowledged_by == world.north.memberships["TECHNICIAN"].pk


def test_every_page_with_a_verdict_carries_the_cautions_and_no_page_is_kept(world):
    machine = machine_of(world.north).pk
    client = browser(world.north, "OFFICE")
    pages = ("today", "portfolio", "readings-to-confirm", "reports")
    for address in (*map(reverse, pages), reverse("machine", args=(machine,))):
        answer = client.get(address)

        assert answer.status_code == 200
        assert "isolate and lock out" in text_of(answer)
        assert answer["Cache-Control"] == "no-store"


def test_hostile_names_are_shown_as_text(world):
    machine = machine_of(world.north)
    hostile = '<script>x</script>"\u202e name'
    type(machine).objects.filter(pk=machine.pk).update(name=hostile)
    client = browser(world.north, "OFFICE")

    for address in (reverse("portfolio"), reverse("machine", args=(machine.pk,))):
        answer = client.get(address, {"text": ""})
        assert b"<script>x" not in answer.content
        assert b"&lt;script&gt;" in answer.content


def test_language_and_units_are_kept_and_a_foreign_way_back_is_not_taken(world):
    client = browser(world.north, "OFFICE")

    taken = client.post(
        reverse("prefer"),
        {"language": "de", "units": "INCH", "next": "https://elsewhere.example/"},
    )
    page = text_of(client.get(reverse("today")))

    assert taken["Location"] == "/"
    assert 'lang="de"' in page
    assert '<option value="INCH" selected>' in page
