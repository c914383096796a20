"""What acts at once is mailed at once: to everyone in the office, once each."""

import pytest

from fleet.models import Contractor, Job, Machine, Membership, Person
from fleet.platform.models.outgoing import OutgoingState
from inspections import tasks, urgent
from inspections.exchange import importing
from inspections.models import Reading, UrgentMail
from tests import callers, factories
from tests.inspections.exchange import bulk
from tests.inspections.urgent.conftest import ANNA, BO

pytestmark = pytest.mark.django_db

THIN = {"value": "9", "unit": "mm"}
USUAL = {"value": "12.8", "unit": "mm", "reference": "r-9"}
SLIP = {"kind": "slip_seen", "rope": None, "value": "yes", "reference": "r-s"}


def hire(cast, name, *, email, **membership):
    person = Person.objects.create(username=name, email=email)
    return Membership.objects.create(
        person=person,
        contractor=cast.contractor,
        **({"role": "OFFICE"} | membership),
    )


STOPPED = "OUT OF SERVICE: MH-1, Mill House, since 2026-05-04"


def texts(mail):
    return [message.get_content() for message in mail.mails()]


def states(cast):
    callers.confine(cast)
    return list(UrgentMail.objects.order_by("pk").values_list("state", flat=True))


# --- what is mailed -------------------------------------------------------------------
def test_the_mail_says_which_lift_what_was_read_the_limit_and_what_to_do(
    north, mail, clock, work
):
    answer = callers.upload(north, factories.upload(THIN, USUAL, SLIP))
    work()

    assert "1 person of the office" in answer.json()["told"]
    [message] = mail.mails()
    assert (message["To"], message["Subject"]) == (ANNA, STOPPED)
    assert message["Auto-Submitted"] == "auto-generated"
    said = message.get_content()
    assert said.startswith(
        "OUT OF SERVICE: lift MH-1, Mill House, lift 1, Mill House, since 2026-05-04."
    )
    for words in (
        "The ropes were seen to slip: it ends only by one of these works: ",
        "Whom to call: ",
        "(no telephone is registered).",
        "Answer within 60 minutes: acknowledge it",
        "Lift MH-1, Mill House, lift 1, Mill House",
        "rope diameter, rope 1: 9 mm (read 2026-05-04 10:00 WEST, reference r-0)",
        # 13 mm ropes: .85 d (common practice, no source).
        "9 mm is at or below 11.05 mm, the end of the usual band.",
        "common practice, no published source",
        "Unconfirmed: act as if true, measure again now.",
        "slip seen: yes",
        "Take the machine out of service until a competent person has decided.",
        "isolate and lock out",
        "Local code, the authority having jurisdiction and the licensed inspector",
        "not an inspection and does not authorise operation",
    ):
        assert words in " ".join(said.split()), words
    assert "12.8" not in said


@pytest.mark.parametrize(
    "reading",
    [
        THIN,
        SLIP,
        {"kind": "brake_slide_seen", "rope": None, "value": "yes"},
        {"kind": "check", "rope": None, "value": "defect", "place": {"part": "hub"}},
        {
            "kind": "bottom_clearance",
            "rope": None,
            "groove": 1,
            "value": "0",
            "unit": "mm",
        },
    ],
)
def test_whatever_is_on_the_unsafe_side_is_mailed(north, mail, clock, work, reading):
    callers.upload(north, factories.upload(reading))
    work()

    assert states(north) == [OutgoingState.SENT]
    assert len(mail.taken) == 1


@pytest.mark.parametrize(
    "reading",
    [
        USUAL,
        # Implausibly good: held, and no reason to hurry.
        {"value": "15", "unit": "mm"},
        {"value": "9", "unit": "stone"},
        {"kind": "check", "rope": None, "value": "pass", "place": {"part": "crack"}},
        {"kind": "check", "rope": None, "value": "not seen", "place": {"part": "hub"}},
    ],
)
def test_nothing_else_is_mailed(north, clock, reading):
    answer = callers.upload(north, factories.upload(reading))

    assert "told" not in answer.json()
    assert states(north) == []


# --- to whom --------------------------------------------------------------------------
def test_it_goes_to_everyone_in_the_office_who_has_an_address_and_to_nobody_else(
    north, mail, clock, work
):
    hire(north, "bo", email=BO)
    hire(north, "twin", email=BO)
    hire(north, "silent", email="")
    hire(north, "gone", email="gone@lifts.example", deactivated_at=factories.NOW)
    south = factories.cast(code="south")
    Person.objects.filter(username="south-office").update(email="s@lifts.example")

    answer = callers.upload(north, factories.upload(THIN))
    work()

    assert "2 people of the office" in answer.json()["told"]
    assert sorted(address for address, _ in mail.taken) == [ANNA, BO]
    assert states(south) == []


def test_an_office_without_an_address_is_said_to_the_sender(north, clock):
    Person.objects.update(email="")

    answer = callers.upload(north, factories.upload(THIN))

    assert "nobody of the office has a mail address" in answer.json()["told"]
    assert states(north) == []


# --- once -----------------------------------------------------------------------------
def test_the_same_upload_again_mails_nobody_twice(north, mail, clock, work):
    body = factories.upload(THIN)
    callers.upload(north, body, Idempotency_Key="k")
    work()

    repeated = callers.upload(north, body, Idempotency_Key="k")
    callers.upload(north, body)
    work(minutes=30)

    assert len(mail.taken) == 1
    assert "told" in repeated.json()


def test_a_job_that_is_done_twice_sends_once(north, mail, clock, work):
    callers.upload(north, factories.upload(THIN))
    [job_id] = Job.objects.filter(kind=urgent.WARN).values_list("pk", flat=True)

    for _ in range(2):
        tasks.warn(job_id=job_id)
    work(minutes=30)

    assert len(mail.taken) == 1


def test_the_mail_is_written_with_the_readings_or_not_at_all(north, clock, settings):
    callers.confine(north)
    text = (
        "machine,visited_on,kind,rope,value,unit\n"
        "MH-1,2026-05-04,rope_diameter,1,9,mm\n"
    )

    looked = bulk.bring_in(north.scope(), text, dry_run=True)
    refused = bulk.bring_in(north.scope(), text + "MH-1,2026-05-04,rouge,1,9,mm\n")
    assert states(north) == []
    stored = bulk.bring_in(north.scope(), text)

    assert (looked.told, refused.told) == ("", "")
    assert "1 person" in stored.told
    assert states(north) == [OutgoingState.QUEUED]
    assert importing.MOST_ROWS > Reading.objects.count() == 1


# --- fault 51: the mail server --------------------------------------------------------
def test_fault_51_a_server_that_is_down_loses_nothing(
    north, mail, clock, work, settings
):
    port, settings.EMAIL_PORT = settings.EMAIL_PORT, 1
    answer = callers.upload(north, factories.upload(THIN))
    work()
    assert answer.status_code == 207
    assert states(north) == [OutgoingState.QUEUED]
    settings.EMAIL_PORT = port

    work(minutes=2)

    assert states(north) == [OutgoingState.SENT]
    assert len(mail.taken) == 1


def test_fault_51_a_lost_answer_sends_the_same_message_id_again(
    north, mail, clock, work
):
    mail.dies_after_data = 1
    callers.upload(north, factories.upload(THIN))
    work()

    work(minutes=2)

    assert list(mail.times_taken().values()) == [2]


def test_fault_51_an_address_refused_for_good_is_shown_to_the_office(
    north, mail, clock, work
):
    mail.recipient_answers[ANNA] = ["550 no such person"]
    callers.upload(north, factories.upload(THIN))
    work()

    [found] = callers.call(north, "GET", "/api/v1/urgent-mails").json()["results"]

    assert (found["address"], found["state"]) == (ANNA, "REFUSED")
    assert "no such person" in found["last_answer"]


def test_a_sender_that_dies_is_followed_by_another(north, mail, clock, work):
    callers.upload(north, factories.upload(THIN))
    callers.confine(north)
    [pk] = UrgentMail.objects.values_list("pk", flat=True)
    urgent.OUTBOX.begin(scope=north.scope(), mail_id=pk, now=factories.NOW)

    work(minutes=1)
    assert mail.taken == []
    work(minutes=20)

    assert states(north) == [OutgoingState.SENT]
    assert UrgentMail.objects.get().attempts == 2


# --- language and bad names -----------------------------------------------------------
def test_a_german_office_reads_german(north, mail, clock, work):
    Contractor.objects.update(language="de")
    place = {"station": "a station", "direction": "1"}

    callers.upload(north, factories.upload(THIN | {"place": place}, SLIP))
    work()

    [said] = texts(mail)
    plain = " ".join(said.split())
    assert "Seildurchmesser, Seil 1" in plain
    assert "Rutschen gesehen: ja" in plain
    assert "9 mm liegt bei oder unter 11,05 mm" in plain
    assert "außer Betrieb nehmen, bis eine befähigte Person entschieden hat" in plain
    assert "freischalten, gegen Wiedereinschalten sichern" in plain
    for english in ("Take the", "usual band", "rope ", "Lift "):
        assert english not in plain


def test_fault_52_a_name_with_line_breaks_adds_neither_header_nor_line(
    north, mail, clock, work
):
    callers.confine(north)
    Machine.objects.filter(code="MH-1").update(
        name="Lift\r\nBcc: thief@evil.example\n\n- all is well"
    )
    note = "worn\n- all is well"

    callers.upload(north, factories.upload(THIN | {"note": note}))
    work()

    [message] = mail.mails()
    assert message["Bcc"] is None
    assert [address for address, _ in mail.taken] == [ANNA]
    assert "\n- all is well" not in message.get_content()


def test_many_readings_are_counted_and_not_all_listed(north, mail, clock, work):
    many = [THIN | {"reference": f"m-{n}"} for n in range(60)]

    callers.upload(north, factories.upload(*many))
    work()

    [said] = texts(mail)
    assert said.count("rope diameter") == 40
    assert "20 further readings" in said
