"""Files are reached by Django's storage alone, so that a folder is not needed."""

import pytest
from django.core.files.storage import default_storage

from fleet.register.tasks import write_export
from inspections import photos
from inspections.models import Reading
from tests import callers, factories
from tests.inspections.api.test_photos import picture
from tests.reports.orders import made, run_jobs

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("plain_files")]

ANNA = "anna@mill.example"


@pytest.fixture
def without_a_folder(settings):
    """Files are kept in no folder."""
    kept = {"BACKEND": "tests.reports.without_paths.WithoutPaths"}
    settings.MEDIA_ROOT = "/nowhere"
    settings.STORAGES = {**settings.STORAGES, "default": kept}
    with pytest.raises(NotImplementedError):
        default_storage.path("anything")


def fetched(cast, path):
    answer = callers.call(cast, "GET", path)
    assert answer.status_code == 200, answer.content
    found = b"".join(answer.streaming_content)
    callers.confine(cast)
    return found


@pytest.mark.usefixtures("without_a_folder")
def test_a_report_is_drafted_released_fetched_and_mailed(north, mail):
    draft = made(north, needs_release=True, recipients=(ANNA,))
    assert fetched(north, f"/api/v1/reports/{draft.pk}/file").startswith(b"%PDF")
    path = f"/api/v1/reports/{draft.pk}/release"
    assert callers.call(north, "POST", path).status_code == 202
    callers.confine(north)

    run_jobs(north, kind="reports.tasks.publish")
    run_jobs(north)

    file = fetched(north, f"/api/v1/reports/{draft.pk}/file")
    [message] = mail.mails()
    [attached] = list(message.iter_attachments())
    assert attached.get_content() == file


@pytest.mark.usefixtures("without_a_folder")
def test_a_photo_is_kept_and_shown(north):
    assert callers.upload(north, factories.upload({"value": "12.8", "unit": "mm"}))
    callers.confine(north)
    visit = Reading.objects.get().visit_id
    kept = photos.keep(
        scope=north.scope(),
        visit_id=visit,
        content=picture(kind="PNG"),
        caption="groove 3",
    )

    assert fetched(north, f"/api/v1/photos/{kept.photo.pk}/file")


@pytest.mark.usefixtures("without_a_folder")
def test_what_is_taken_out_is_made_and_fetched(north):
    asked = callers.call(north, "POST", "/api/v1/exports", {"name": "machines.csv"})
    assert asked.status_code == 202

    write_export(job_id=asked.json()["job"])

    path = f"/api/v1/exports/{asked.json()['id']}/file"
    assert b"MH-1" in fetched(north, path)
