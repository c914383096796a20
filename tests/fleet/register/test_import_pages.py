"""Files in pages: looked at row by row, then stored whole, once, or not at all."""

import base64

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from fleet.models import ImportFile, Machine
from fleet.register.exchange import import_jobs
from fleet.register.tasks import bring_in_file
from tests import callers
from tests.inspections.test_setting_up import filled, text

pytestmark = pytest.mark.django_db

HEADER = "building,code,name,drive_kind,car_mass_kg\n"
GOOD = HEADER + "".join(f"mill-house,L-{n},Lift {n},GEARED,1100\n" for n in (1, 2))
BAD = GOOD + "mill-house,L-9,Lift 9,GEARED,much\n"


@pytest.fixture
def client(north):
    found = Client()
    found.force_login(north.memberships["OFFICE"].person)
    return found


def choose(client, content, address=None, **how):
    address = address or reverse("imports")
    form = filled(client.get(address))
    file = SimpleUploadedFile("machines.csv", content.encode())
    typed = {"name": "machines"} if "name" in form else {}
    return client.post(address, form | typed | how | {"file": file})


def machines(cast):
    callers.confine(cast)
    return set(
        Machine.objects.filter(code__startswith="L-").values_list("code", flat=True)
    )


def test_a_file_is_looked_at_row_by_row_and_then_stored_once(north, client):
    looked = choose(client, GOOD)

    page = text(looked)
    assert looked.status_code == 200
    assert "Nothing is stored yet" in page
    assert page.count("<td>new</td>") == 2
    assert machines(north) == set()

    store = filled(looked)
    first, second = (client.post(reverse("store-import"), store) for _ in range(2))

    assert first["Location"] == second["Location"] == reverse("imports")
    assert machines(north) == {"L-1", "L-2"}
    assert text(client.get(reverse("imports"))).count("Stored: 2 rows.") == 1


def test_a_file_with_a_fault_names_its_row_and_offers_no_storing(north, client):
    looked = choose(client, BAD)

    page = text(looked)
    assert '<td class="number">4</td><td>car_mass_kg</td>' in page
    assert "Store all of it" not in page
    # Sent past the page, it is refused all the same, whole.
    good = filled(choose(client, GOOD))
    good["content"] = base64.b64encode(BAD.encode()).decode()
    answer = client.post(reverse("store-import"), good)
    assert answer.status_code == 400
    assert "1 rows cannot be taken; nothing was stored." in text(answer)
    assert machines(north) == set()


def test_a_file_that_is_no_table_is_refused_in_words_above_its_form(client):
    answer = choose(client, "PK\x03\x04 a workbook")

    assert answer.status_code == 400
    assert "save it as CSV" in text(answer)


def test_a_long_file_goes_on_without_its_page_and_is_stored_after_a_look(
    north, client, settings
):
    settings.IMPORT_ROWS_AT_ONCE = 1

    asked = choose(client, GOOD)
    waiting = text(client.get(asked["Location"]))
    callers.confine(north)
    row = ImportFile.objects.within(north.scope()).get()
    bring_in_file(job_id=import_jobs.job_of(row).pk)
    page = text(client.get(asked["Location"]))
    other = choose(client, BAD, address=asked["Location"])
    again = choose(client, GOOD, address=asked["Location"])

    assert "It waits for its turn." in waiting
    assert page.count("<td>new</td>") == 2
    assert other.status_code == 400
    assert "another file than the one that was looked at" in text(other)
    assert machines(north) == set()
    callers.confine(north)
    new = ImportFile.objects.within(north.scope()).get(dry_run=False)
    assert again["Location"] == reverse("import", args=(new.pk,))
    bring_in_file(job_id=import_jobs.job_of(new).pk)
    assert machines(north) == {"L-1", "L-2"}
    assert "All of it is stored." in text(client.get(again["Location"]))
