"""The file of a phone that could send nothing, taken in by the office."""

import json

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from inspections.models import Reading
from tests import callers, factories
from tests.inspections.test_pages import browser, text_of
from tests.inspections.test_work_pages import send

pytestmark = pytest.mark.django_db


def test_a_phones_file_is_taken_in_once_and_each_outcome_is_told():
    north = factories.cast(code="north", entry=factories.portfolio(code="north"))
    client = browser(north, "OFFICE")
    at, door = timezone.now().isoformat(), reverse("phone-file")
    good, bad = (
        {"reference": f"f-{rope}", "kind": "rope_diameter", "rope": rope}
        | {"value": "12.9", "unit": "mm", "taken_at": at, "sequence": rope}
        for rope in (1, 77)
    )
    visit = {"reference": "f-v", "machine": "MH-1", "visited_at": at}
    content = json.dumps({"visits": [visit | {"readings": [good, bad]}]}).encode()

    def taken(content: bytes):
        return send(client, door, file=SimpleUploadedFile("a.json", content))

    first, again = taken(content), taken(content)
    pages = [text_of(client.get(each.headers["Location"])) for each in (first, again)]
    spoilt = taken(content[:-3])
    other = taken(b'{"machines": []}')

    callers.confine(north)
    assert [row.reference for row in Reading.objects.filter(kind="rope_diameter")] == [
        "f-1"
    ]
    assert "Some readings were not taken" in pages[0]
    assert "f-77" in pages[0]
    assert "12.9 mm" in pages[0]
    assert "already-stored" in pages[1]
    assert "no file that a phone has saved" in text_of(spoilt)
    assert "send an object with a list of" in text_of(other)
    assert browser(north, "TECHNICIAN").get(door).status_code == 403
