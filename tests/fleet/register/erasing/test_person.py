"""A person who left: what was done stays, who it was is gone."""

import io

import pytest
from django.core.management import CommandError, call_command
from django.db import IntegrityError, InternalError, connections, transaction
from django.utils import timezone

from fleet.models import Change, Membership, Person, Token
from fleet.platform.database import tenancy
from inspections.models import Reading, UrgentMail
from reports.models import ReportPlan

pytestmark = pytest.mark.django_db(transaction=True, databases=["default", "owner"])

NAME, EMAIL = "Ada Nemo (night)", "ada.nemo+x@mail.example"


def erase(*words):
    out = io.StringIO()
    call_command("erase_person", "north-tech", *words, stdout=out)
    return out.getvalue()


@pytest.fixture
def left(world):
    """Return the one who left, named in rows of all kinds and in the log."""
    contractor = world.north.contractor
    member = world.north.memberships["TECHNICIAN"]
    with tenancy.acting_for(contractor_id=contractor.pk, via="test"):
        UrgentMail.objects.filter(pk=UrgentMail.objects.first().pk).update(
            address=EMAIL
        )
        plan = ReportPlan.objects.first()
        plan.recipients = [EMAIL, "b" + EMAIL]
        plan.save()
        Membership.objects.filter(pk=member.pk).update(deactivated_at=timezone.now())
    return world


def holding(rows, text):
    found = rows(text)
    # What was issued has a checksum and is kept as it is.
    return set(found) - {"reports_report"}


def test_a_dry_run_counts_and_changes_nothing(left, rows):
    said = erase("--dry-run")

    assert "keys: 1" in said
    assert "report plans: recipients: 1" in said
    assert "urgent mails: address: 1" in said
    assert Person.objects.filter(username="north-tech", email=EMAIL).exists()


def test_without_yes_nothing_is_changed(left):
    with pytest.raises(CommandError, match="--yes"):
        erase()

    assert Person.objects.filter(username="north-tech", email=EMAIL).exists()


def test_someone_who_still_works_there_is_refused(world):
    with pytest.raises(CommandError, match="let them go first"):
        erase("--yes")

    assert Person.objects.filter(username="north-tech", email=EMAIL).exists()


def test_no_row_names_the_person_any_more_and_the_neighbour_is_untouched(left, rows):
    member = left.north.memberships["TECHNICIAN"]
    for text in ("(night)", "rope inspector 4711"):
        assert "fleet_change" in holding(rows, text)
    assert "fleet_change" in holding(rows, EMAIL)

    erase("--yes")

    for text in ("north-tech", "(night)", "rope inspector 4711"):
        assert holding(rows, text) == set(), text
    # The neighbour's address holds theirs; it is found with its first letter only.
    assert rows(EMAIL) == rows("b" + EMAIL) != {}
    assert Person.objects.filter(email="b" + EMAIL, last_name="Nemo").exists()
    person = Person.objects.get(pk=member.person_id)
    assert (person.username, person.is_active) == (f"erased-{person.pk}", False)
    assert not person.check_password("")
    assert Token.objects.get(membership=member).device == "erased"


def test_what_the_person_did_stays_and_so_does_that_they_were_erased(left):
    member = left.north.memberships["TECHNICIAN"]
    with tenancy.acting_for(contractor_id=left.north.contractor.pk):
        before = (Reading.objects.count(), Change.objects.count())

    erase("--yes")

    with tenancy.acting_for(contractor_id=left.north.contractor.pk):
        assert Reading.objects.count() == before[0]
        assert Change.objects.count() > before[1]
        last = Change.objects.filter(table="fleet_person", row_id=member.person_id)
        line = last.order_by("-pk").first()
        assert line.via == "manage.py erase_person"
        assert line.fields["username"] == ["erased", "erased"]
        assert Change.objects.filter(
            table="fleet_membership", row_id=member.pk
        ).exists()
        plan = ReportPlan.objects.get(recipients__contains=["b" + EMAIL])
    address = f"erased-{member.person_id}@erased.invalid"
    assert plan.recipients == [address, "b" + EMAIL]


def test_history_can_be_changed_by_nobody_afterwards(left):
    erase("--yes")

    with (
        pytest.raises((IntegrityError, InternalError), match="append-only"),
        transaction.atomic(using="owner"),
        connections["owner"].cursor() as cursor,
    ):
        cursor.execute("UPDATE fleet_change SET via = 'x'")
