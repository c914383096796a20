"""Mail, against a real SMTP server that the test starts."""

from dataclasses import replace
from datetime import timedelta

import pytest
import time_machine

from fleet.models import Building, Job, Membership, Owner, Person
from fleet.platform import mailing
from reports import content, delivery
from reports.delivery import attempt, letter
from reports.models import Delivery, DeliveryState, RefusedAddress
from tests import callers
from tests.reports import sample_content
from tests.reports.orders import NOW, made, run_jobs

# What a file says is drawn and read back elsewhere.
pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("plain_files")]

ANNA, BO = "anna@mill.example", "bo@mill.example"


@pytest.fixture
def clock():
    with time_machine.travel(NOW, tick=False) as traveller:
        yield traveller


def only_delivery():
    return Delivery.objects.get()


def later(clock, cast, **wait):
    clock.shift(timedelta(**wait))
    run_jobs(cast)


# --- what is sent ---------------------------------------------------------------------
def test_a_report_goes_to_each_recipient_once_with_its_file(
    really_drawn, north, mail, clock
):
    report = made(north, recipients=(ANNA, BO, ANNA))

    run_jobs(north)
    run_jobs(north)

    assert sorted(address for address, _ in mail.taken) == [ANNA, BO]
    assert set(Delivery.objects.values_list("state", flat=True)) == {"SENT"}
    for message in mail.mails():
        [attached] = list(message.iter_attachments())
        with report.file.open("rb") as file:
            assert attached.get_content() == file.read()
        assert attached.get_filename() == f"{report.number}-r1.pdf"
        assert message["Auto-Submitted"] == "auto-generated"


def test_each_mail_is_for_one_person_and_says_it_in_text_and_html(north, mail, clock):
    report = made(north, recipients=(ANNA, BO))

    run_jobs(north)

    for message in mail.mails():
        assert message["To"] in (ANNA, BO)
        text = message.get_body(("plain",)).get_content()
        html = message.get_body(("html",)).get_content()
        for said in (text, html):
            assert report.number in said
            assert "not an inspection and does not authorise operation" in said
            assert "Local code, the authority having jurisdiction" in said
            assert "checks were made" in said
            assert "Questions and answers to" in said


def test_a_mail_says_what_is_to_be_decided_and_by_when(north):
    frozen = sample_content.report()
    row = content.Decision(
        machine="M-01",
        matter="Rope diameter",
        plan_before="",
        chance="",
        cost="",
        answer_by="3 Sep 2027",
    )
    summary = replace(frozen.summary, decisions=(row,))

    told = letter._to_decide(replace(frozen, summary=summary))

    assert list(told) == ["M-01: Rope diameter (Answer by: 3 Sep 2027)"]


def test_markup_in_a_name_is_printed_literally_in_the_mail(north, mail, clock):
    callers.confine(north)
    Building.objects.filter(code="mill-house").update(
        name='<b>Mill</b> & <img src="http://x.example/">'
    )
    made(north, recipients=(ANNA,))

    run_jobs(north)

    [message] = mail.mails()
    html = message.get_body(("html",)).get_content()
    assert "<img" not in html
    assert "&lt;b&gt;Mill&lt;/b&gt; &amp; &lt;img" in html
    assert '<b>Mill</b> & <img src="http://x.example/">' in message["Subject"]


# --- fault 52: header injection -------------------------------------------------------
def test_fault_52_a_name_with_a_line_break_cannot_add_a_header(north, mail, clock):
    callers.confine(north)
    Building.objects.filter(code="mill-house").update(
        name="Mill\nBcc: thief@evil.example"
    )
    made(north, recipients=(ANNA,))

    run_jobs(north)

    assert mail.taken == []
    assert only_delivery().state == DeliveryState.FAILED
    assert "line break" in only_delivery().last_answer


@pytest.mark.parametrize(
    "address",
    [
        "anna@mill.example\nBcc: thief@evil.example",
        "anna@mill.example\r\n",
        "anna@mill.example, thief@evil.example",
        "Anna <anna@mill.example>",
        "anna",
        "",
    ],
)
def test_fault_52_what_is_no_single_address_is_refused(north, address):
    report = made(north)

    answer = callers.call(
        north, "POST", f"/api/v1/reports/{report.pk}/send", {"recipients": [address]}
    )

    assert callers.is_problem(answer, 400, "invalid")
    assert not Delivery.objects.exists()


def test_fault_52_letters_beyond_ascii_travel_encoded(north, mail, clock):
    callers.confine(north)
    Building.objects.filter(code="mill-house").update(name="Młyn Łódź Κτίριο")
    made(north, recipients=(ANNA,))

    run_jobs(north)

    [(_, raw)] = mail.taken
    [message] = mail.mails()
    head = raw.split(b"\r\n\r\n")[0]
    assert head.isascii()
    assert b"=?utf-8?" in head
    assert "Młyn Łódź Κτίριο" in message["Subject"]


# --- fault 51: the server refuses, waits, is away, or dies ----------------------------
def test_fault_51_greylisting_is_waited_for(north, mail, clock):
    mail.recipient_answers[ANNA] = ["451 4.7.1 try again later"]
    made(north, recipients=(ANNA,))

    run_jobs(north)

    waiting = only_delivery()
    assert (waiting.state, waiting.attempts) == (DeliveryState.QUEUED, 1)
    assert waiting.last_answer == "451 4.7.1 try again later"
    assert waiting.next_try_at == NOW + timedelta(minutes=1)
    later(clock, north, seconds=59)
    assert mail.taken == []
    later(clock, north, seconds=1)
    assert only_delivery().state == DeliveryState.SENT
    assert [address for address, _ in mail.taken] == [ANNA]


@pytest.mark.parametrize("answer", ["452 4.2.2 mailbox full", "552 mailbox full"])
def test_fault_51_a_full_mailbox_is_tried_again(north, mail, clock, answer):
    # 552 at RCPT counts as passing: RFC 5321, 4.5.3.1.10.
    mail.recipient_answers[ANNA] = [answer]
    made(north, recipients=(ANNA,))

    run_jobs(north)
    later(clock, north, minutes=1)

    assert only_delivery().state == DeliveryState.SENT
    assert not RefusedAddress.objects.exists()


def test_fault_51_a_refused_address_is_marked_and_told_to_the_office(
    north, mail, clock
):
    mail.recipient_answers[ANNA] = ["550 5.1.1 no such user"]
    made(north, recipients=(ANNA, BO))

    run_jobs(north)

    states = dict(Delivery.objects.values_list("address", "state"))
    assert states == {ANNA: "REFUSED", BO: "SENT"}
    told = callers.call(north, "GET", "/api/v1/refused-addresses").json()["results"]
    assert [(row["address"], row["answer"]) for row in told] == [
        (ANNA, "550 5.1.1 no such user")
    ]


def test_fault_51_nothing_more_is_sent_to_a_refused_address_until_cleared(
    north, mail, clock
):
    mail.recipient_answers[ANNA] = ["550 no such user"]
    made(north, recipients=(ANNA,))
    run_jobs(north)

    made(north, recipients=(ANNA,))
    run_jobs(north)

    assert mail.taken == []
    newest = Delivery.objects.order_by("-pk")[0]
    assert newest.state == DeliveryState.REFUSED
    assert newest.last_answer.startswith("not sent: refused on 2026-06-01")
    marked = RefusedAddress.objects.get()
    cleared = callers.call(
        north, "POST", f"/api/v1/refused-addresses/{marked.pk}/clear"
    )
    assert cleared.json()["cleared_at"] is not None
    callers.confine(north)
    made(north, recipients=(ANNA,))
    run_jobs(north)
    assert [address for address, _ in mail.taken] == [ANNA]


def test_fault_51_after_a_broken_line_the_mail_keeps_its_message_id(north, mail, clock):
    mail.dies_after_data = 1
    made(north, recipients=(ANNA,))

    run_jobs(north)
    assert only_delivery().state == DeliveryState.QUEUED
    later(clock, north, minutes=1)

    assert only_delivery().state == DeliveryState.SENT
    # It was taken twice, and can be told as the same mail.
    assert list(mail.times_taken().values()) == [2]
    assert mail.mails()[0]["Message-ID"] == only_delivery().message_id


def test_fault_51_a_server_that_is_down_loses_nothing(north, no_mail_server, clock):
    made(north, recipients=(ANNA,))

    run_jobs(north)

    waiting = only_delivery()
    assert waiting.state == DeliveryState.QUEUED
    assert "ConnectionRefusedError" in waiting.last_answer
    assert Job.objects.filter(kind=delivery.DELIVER, state="QUEUED").count() == 1


def test_fault_51_it_is_tried_for_five_days_and_then_given_up(
    north, no_mail_server, clock
):
    made(north, recipients=(ANNA,))

    for minutes in (0, *attempt.WAITS_MIN):
        assert only_delivery().state == DeliveryState.QUEUED
        later(clock, north, minutes=minutes)

    assert only_delivery().state == DeliveryState.FAILED
    assert only_delivery().attempts == len(attempt.WAITS_MIN) + 1
    assert timedelta(minutes=sum(attempt.WAITS_MIN)) > timedelta(days=5)
    assert not Job.objects.filter(kind=delivery.DELIVER, state="QUEUED").exists()


def test_fault_51_a_mail_refused_as_a_whole_does_not_mark_the_address(
    north, mail, clock
):
    mail.data_answers = ["554 5.7.1 looks like spam"]
    made(north, recipients=(ANNA,))

    run_jobs(north)

    assert only_delivery().state == DeliveryState.FAILED
    assert only_delivery().last_answer == "554 5.7.1 looks like spam"
    assert not RefusedAddress.objects.exists()


# --- two senders, dead senders --------------------------------------------------------
def test_a_second_sender_finds_nothing_to_send(north, mail, clock):
    made(north, recipients=(ANNA,))
    scope, pk = north.scope(), only_delivery().pk

    first = delivery.OUTBOX.begin(scope=scope, mail_id=pk, now=NOW)
    second = delivery.OUTBOX.begin(scope=scope, mail_id=pk, now=NOW)

    assert first is not None
    assert second is None


def test_a_sender_that_died_is_replaced_when_its_time_is_over(
    north, mail, clock, settings
):
    made(north, recipients=(ANNA,))
    delivery.OUTBOX.begin(scope=north.scope(), mail_id=only_delivery().pk, now=NOW)
    assert only_delivery().state == DeliveryState.SENDING

    later(clock, north, seconds=settings.JOB_LEASE_S)

    assert only_delivery().state == DeliveryState.SENT
    assert len(mail.taken) == 1


def test_a_late_sender_stores_only_that_it_was_taken(north, clock, settings):
    made(north, recipients=(ANNA,))
    scope, pk = north.scope(), only_delivery().pk
    late = delivery.OUTBOX.begin(scope=scope, mail_id=pk, now=NOW)
    after = NOW + timedelta(seconds=settings.JOB_LEASE_S)
    delivery.OUTBOX.begin(scope=scope, mail_id=pk, now=after)

    refused = mailing.MailResult(result="REFUSED", said="550 no")
    delivery.OUTBOX.record(scope=scope, begun=late, answer=refused, now=after)
    assert only_delivery().state == DeliveryState.SENDING
    taken = mailing.MailResult(result="TAKEN", said="taken")
    delivery.OUTBOX.record(scope=scope, begun=late, answer=taken, now=after)

    assert only_delivery().state == DeliveryState.SENT


# --- what may not go out --------------------------------------------------------------
def test_an_owner_who_left_receives_nothing_more(north, mail, clock):
    made(north, recipients=(ANNA,))
    Owner.objects.filter(code="mill").update(retired_on=NOW.date())

    run_jobs(north)

    assert mail.taken == []
    assert only_delivery().state == DeliveryState.CANCELLED


def test_a_person_who_left_receives_nothing_that_still_waits(north, mail, clock):
    reader = north.memberships["OWNER_READER"]
    Person.objects.filter(pk=reader.person_id).update(email=ANNA.upper())
    made(north, recipients=(ANNA,))
    Membership.objects.filter(pk=reader.pk).update(deactivated_at=NOW)

    run_jobs(north)

    assert mail.taken == []
    row = only_delivery()
    assert (row.state, row.last_answer) == ("CANCELLED", "its reader has left")


def test_a_file_that_was_changed_on_disk_is_not_sent(north, mail, clock):
    report = made(north, recipients=(ANNA,))
    with open(report.file.path, "ab") as file:
        file.write(b"x")

    run_jobs(north)

    assert mail.taken == []
    assert only_delivery().last_answer == (
        "the report's file is not the one that was stored"
    )


# --- links: more in test_links.py -----------------------------------------------------
def test_the_second_try_carries_the_same_link(
    north, mail, clock, settings, monkeypatch
):
    monkeypatch.setattr(letter, "ATTACH_AT_MOST_BYTES", 100)
    settings.PUBLIC_URL = "https://reports.north.example"
    mail.dies_after_data = 1
    made(north, recipients=(ANNA,))

    run_jobs(north)
    later(clock, north, minutes=1)

    one, other = (m.get_body(("plain",)).get_content() for m in mail.mails())
    assert one == other
    assert "https://reports.north.example/report-links#" in one
