"""No text that somebody gives turns round what stands beside it: refused at each door.

A value, a code or a verdict behind U+202E is shown backwards (Unicode Standard Annex 9;
CVE-2021-42574 did it to program text).
"""

import re

import pytest
from django.urls import get_resolver
from rest_framework import serializers

from fleet.models import Machine, Membership
from fleet.platform import printing
from fleet.platform.api.fields import StrictSerializer
from fleet.platform.api.strict_fields import StrictText
from tests import browsers, callers, factories
from tests.fleet.register.test_names import codes_at, hidden_of, send

pytestmark = pytest.mark.django_db

TURNED = "room \u202e4.31"
TURNING = [chr(n) for n in (*range(0x202A, 0x202F), *range(0x2066, 0x206A))]
# Texts of other kinds: closed lists, patterns, and what is never shown.
NO_TEXT = (
    serializers.ChoiceField,
    serializers.EmailField,
    serializers.RegexField,
    serializers.SlugField,
)
NEVER_SHOWN = {("PasswordIn", "password"), ("ExportFileIn", "name")}


def test_each_sign_that_turns_a_line_is_named():
    for sign in TURNING:
        assert f"U+{ord(sign):04X}" in printing.turning(f"a{sign}b")


def test_what_is_written_from_right_to_left_is_none_of_them():
    assert printing.turning("בניין 4, \u200fקומה\u200e 2") == ""


def test_the_api_refuses_one_at_its_field(north):
    [row, *_] = callers.call(north, "GET", "/api/v1/machines").json()["results"]
    asked = ("PATCH", f"/api/v1/machines/{row['id']}", {"machine_room": TURNED})

    answer = callers.call(north, *asked, If_Match="*")

    assert callers.is_problem(answer, 400, "invalid")
    assert codes_at(answer) == {("machine_room", "unprintable")}


def strict(parent=StrictSerializer):
    for each in parent.__subclasses__():
        yield each
        yield from strict(each)


def test_every_text_that_the_api_takes_is_looked_at():
    assert get_resolver().reverse_dict  # so that every door's serializers are there
    loose = {
        (form.__name__, name)
        for form in strict()
        # Those of rows have their texts from the mapping of `TenantSerializer`.
        if not issubclass(form, serializers.ModelSerializer)
        for name, field in form().fields.items()
        if isinstance(field, serializers.CharField)
        and not isinstance(field, (StrictText, *NO_TEXT))
        and not field.read_only
    }

    assert loose <= NEVER_SHOWN


def test_of_an_upload_the_one_reading_is_refused_and_the_others_are_stored(north):
    body = factories.upload(
        {"reference": "turned", "note": TURNED, "value": "12.8", "unit": "mm"},
        {"reference": "plain", "value": "12.8", "unit": "mm"},
    )

    turned, plain = callers.upload(north, body).json()["readings"]

    assert (turned["outcome"], turned["problem"]["code"]) == ("refused", "unprintable")
    assert plain["outcome"] == "stored"


def test_a_page_refuses_one_and_says_so(north):
    member = north.memberships["TECHNICIAN"]
    browser = browsers.confirmed(north.memberships["OFFICE"].person)
    address = f"/people/{member.pk}"
    form = hidden_of(browser.get(address)) | {"role": "TECHNICIAN"}
    form |= {"qualification": TURNED, "competent_until": "31 Dec 2030"}

    answer = browser.post(address, form)

    assert answer.status_code == 400
    assert "turns what stands beside it round" in answer.content.decode()


def test_a_page_takes_it_out_of_a_row_of_before_and_has_it_read_again(north):
    # What nobody sees cannot be typed anew: the page would take nothing more.
    member = north.memberships["TECHNICIAN"]
    Membership.objects.filter(pk=member.pk).update(
        qualification=TURNED, competent_until="2030-12-31"
    )
    browser = browsers.confirmed(north.memberships["OFFICE"].person)
    address = f"/people/{member.pk}"
    form = hidden_of(browser.get(address)) | {"role": "TECHNICIAN"}
    form |= {"qualification": TURNED, "competent_until": "2030-12-31"}

    refused = browser.post(address, form)

    page = refused.content.decode()
    [field] = re.findall(r'<input[^>]* name="qualification"[^>]*>', page)
    assert 'value="room 4.31"' in field
    assert "Here it is taken out" in page
    again = form | hidden_of(refused) | {"qualification": "room 4.31"}
    answer = browser.post(address, again)
    assert answer.status_code == 302, answer.content
    assert Membership.objects.get(pk=member.pk).qualification == "room 4.31"


def test_a_refusal_says_what_is_left_without_it(north):
    [row, *_] = callers.call(north, "GET", "/api/v1/machines").json()["results"]
    asked = ("PATCH", f"/api/v1/machines/{row['id']}", {"machine_room": TURNED})

    [error] = callers.call(north, *asked, If_Match="*").json()["errors"]

    assert error["detail"].endswith('leave it out: "room 4.31".')


def test_a_file_refuses_one_at_its_cell(north):
    head = "building,code,name,drive_kind,machine_room\n"

    answer = send(north, f"{head}mill-house,N-1,Lift 1,GEARED,{TURNED}\n", "machines")

    [error] = answer.json()["errors"]
    assert (error["column"], error["code"]) == ("machine_room", "unprintable")
    callers.confine(north)
    assert not Machine.objects.filter(code="N-1").exists()
