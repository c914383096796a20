"""What an assessment takes out of service is mailed once, when it is new."""

import pytest
from django.utils import translation

from fleet.models import Contractor, Job, Machine, Person
from inspections import tasks, wording
from inspections.intake.accepting import ASSESS
from inspections.models import Finding, UrgentMail
from inspections.reasons import Topic, criterion_of
from inspections.urgent import letter
from tests import callers, factories
from tests.inspections.urgent.conftest import ANNA

pytestmark = pytest.mark.django_db

STOPPED = "OUT OF SERVICE: MH-1, Mill House, since 2026-06-01"


def breaks(number, *, rope=1, mark="a"):
    return {
        "kind": "breaks_total",
        "rope": rope,
        "value": str(number),
        "unit": "1",
        "place": {"window": "lay"},
        "reference": f"{mark}-{rope}",
    }


@pytest.fixture
def assess(north):
    def done():
        queued = Job.objects.filter(kind=ASSESS, state="QUEUED")
        for pk in list(queued.values_list("pk", flat=True)):
            tasks.assess(job_id=pk)
            callers.confine(north)

    return done


def mails(cast):
    callers.confine(cast)
    return list(UrgentMail.objects.exclude(assessment=None).order_by("pk"))


def test_a_condemned_rope_is_mailed_with_its_limit_and_source(
    north, mail, clock, work, assess
):
    # 60 broken wires in a lay: plausible to the door, past every set's discard limit.
    answer = callers.upload(north, factories.upload(breaks(60)))
    assert "told" not in answer.json()
    assess()
    work()

    [message] = mail.mails()
    assert (message["To"], message["Subject"]) == (
        ANNA,
        "OUT OF SERVICE: MH-1, Mill House, since 2026-06-01",
    )
    said = " ".join(message.get_content().split())
    for words in (
        "An assessment found what takes a machine out of service.",
        "Lift MH-1, Mill House, lift 1, Mill House",
        "rope 1",
        "Found 60",
        "Source: ",
        "Take the machine out of service until a competent person has decided.",
        "isolate and lock out",
        "not an inspection and does not authorise operation",
    ):
        assert words in said, words
    callers.confine(north)
    [row] = Finding.objects.filter(stops_service=True, current=True)[:1]
    assert f"limit {row.limit:.4g}" in said
    # By its code, in the words of the catalogue, not as it was stored.
    assert wording.name(criterion_of(row.rule)) in said


def test_topic_and_criterion_of_the_mail_are_said_by_their_codes(north, assess):
    callers.upload(north, factories.upload(breaks(60)))
    assess()
    Finding.objects.update(criterion="said in English by an earlier version")
    rows = list(
        Finding.objects.filter(stops_service=True).select_related(
            "machine__building", "assessment"
        )[:1]
    )

    with translation.override("de"):
        said = "\n".join(letter.of_assessment(rows))
        criterion = wording.name(criterion_of(rows[0].rule))
        assert f"- {wording.name(Topic(rows[0].topic))}, Seil 1" in said
        assert criterion in said
        assert "earlier version" not in said
        rows[0].rule = ""
        assert "said in English by an earlier version" in "\n".join(
            letter.of_assessment(rows)
        )


def test_it_is_mailed_once_while_it_stands_and_again_when_it_comes_back(
    north, clock, assess
):
    callers.upload(north, factories.upload(breaks(60)))
    assess()
    assess()
    first = len(mails(north))

    # Another reading of the same visit: assessed anew, the same rope condemned.
    callers.upload(north, factories.upload(breaks(1, rope=2, mark="b")))
    assess()
    second = len(mails(north))
    callers.upload(
        north,
        factories.upload(
            breaks(60, rope=3, mark="c"),
            reference="v-2",
            visited_at="2026-05-05T10:00:00+01:00",
        ),
    )
    assess()

    assert (first, second, len(mails(north))) == (1, 1, 2)


def test_what_its_reading_told_already_is_not_told_twice(north, clock, assess):
    seen = {"kind": "slip_seen", "rope": None, "value": "yes"}

    callers.upload(north, factories.upload(seen))
    assess()

    callers.confine(north)
    assert Finding.objects.filter(current=True, stops_service=True).exists()
    assert mails(north) == []
    assert UrgentMail.objects.count() == 1


def test_a_machine_in_order_is_mailed_to_nobody(north, clock, assess):
    callers.upload(north, factories.upload({"value": "12.9", "unit": "mm"}))
    assess()

    assert mails(north) == []


def test_an_office_without_an_address_is_logged(north, clock, assess, caplog):
    Person.objects.update(email="")
    callers.upload(north, factories.upload(breaks(60)))

    assess()

    assert mails(north) == []
    assert "nobody of the office has a mail address" in caplog.text


def test_a_german_office_reads_german_of_findings_too(north, mail, clock, work, assess):
    Contractor.objects.update(language="de")
    callers.upload(north, factories.upload(breaks(60)))
    assess()
    work()

    [message] = mail.mails()
    said = " ".join(message.get_content().split())
    assert "Eine Auswertung hat etwas gefunden, das eine Anlage außer Betrieb" in said
    assert "Gefunden 60" in said
    assert "Take the" not in said


def test_readings_as_left_that_act_at_once_are_told_too(north, mail, clock, work):
    callers.confine(north)
    machine = Machine.objects.get(code="MH-1")
    body = {
        "kind": "SHORTENING",
        "done_on": "2026-05-04",
        "as_left": {
            "reference": "left-1",
            "visited_at": "2026-05-04T16:00:00+01:00",
            "readings": [
                {
                    "reference": "left-r",
                    "kind": "cwt_runby",
                    "value": "20",
                    "unit": "mm",
                }
            ],
        },
    }

    answer = callers.call(
        north, "POST", f"/api/v1/machines/{machine.pk}/works", body, role="TECHNICIAN"
    )
    work()

    assert answer.status_code == 201, answer.content
    assert "1 person of the office" in answer.json()["as_left"]["told"]
    [message] = mail.mails()
    assert "counterweight run-by: 20 mm" in message.get_content()
