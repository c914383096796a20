"""The description over HTTP: made once, kept by its tag, counted."""

import pytest
from django.test import Client

from fleet.platform.api import description
from tests import callers, yaml_files

pytestmark = pytest.mark.django_db

PATH = "/api/v1/schema"


def test_it_is_the_committed_one_in_either_form():
    committed = yaml_files.description()

    as_yaml = Client().get(PATH)
    as_json = Client().get(PATH, headers={"Accept": "application/vnd.oai.openapi+json"})

    assert yaml_files.read(as_yaml.content.decode()) == committed
    assert as_json.json() == committed
    assert as_json["Content-Type"].startswith("application/vnd.oai.openapi+json")


def test_it_is_made_once_and_not_sent_to_whoever_has_it(monkeypatch):
    first = Client().get(PATH)
    monkeypatch.setattr(
        description.SchemaView.generator_class, "get_schema", lambda *_, **__: 1 / 0
    )

    again = Client().get(PATH)
    kept = Client().get(PATH, headers={"If-None-Match": first["ETag"]})

    assert again.content == first.content
    assert (kept.status_code, kept.content) == (304, b"")


def test_it_is_counted_by_address(settings):
    settings.REQUESTS_PER_MINUTE = 2
    answers = [Client().get(PATH, REMOTE_ADDR="192.0.2.9") for _ in range(3)]

    assert [answer.status_code for answer in answers[:2]] == [200, 200]
    assert callers.is_problem(answers[2], 429, "too-many-requests")
    assert Client().get(PATH, REMOTE_ADDR="192.0.2.10").status_code == 200


def test_it_takes_no_parameters():
    assert callers.is_problem(Client().get(f"{PATH}?lang=de"), 400, "parse-error")
