"""Gauges on pages: registered, changed, said to be past their calibration."""

from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from inspections.models import ForecastScore, Gauge
from tests import callers, factories
from tests.inspections.test_pages import browser, text_of
from tests.inspections.test_work_pages import hidden, send

pytestmark = pytest.mark.django_db


def test_a_gauge_is_registered_and_changed_in_the_readers_unit():
    north = factories.cast(code="north")
    client = browser(north, "OFFICE")
    typed = {
        "code": "g-7",
        "name": "<b>plate</b> calliper",
        "resolution_mm_0": "0,001",
        "resolution_mm_1": "in",
        "repeatability_mm_0": "",
        "repeatability_mm_1": "mm",
        "calibration_due_on": (timezone.localdate() - timedelta(days=1)).isoformat(),
        "retired_on": "",
    }

    new = reverse("new-gauge")
    wrong = send(client, new, **typed | {"resolution_mm_1": "kg"})
    wild = send(client, new, **typed | {"resolution_mm_0": "40"})
    kept = send(client, new, **typed)
    twice = send(client, new, **typed)
    page = text_of(client.get(reverse("gauges")))

    assert (wrong.status_code, wild.status_code, twice.status_code) == (400, 400, 400)
    assert kept.status_code == 302, text_of(kept)
    callers.confine(north)
    gauge = Gauge.objects.get(code="g-7")
    assert gauge.resolution_mm == pytest.approx(0.0254)
    assert gauge.repeatability_mm is None
    assert "&lt;b&gt;plate" in page
    assert "past its calibration" in page
    at = reverse("gauge", args=(gauge.pk,))
    mine, theirs = (hidden(client.get(at)) for _ in "12")
    changed = typed | {"calibration_due_on": "2031-05-01"}
    assert client.post(at, theirs | changed).status_code == 302
    assert client.post(at, mine | typed | {"name": "other"}).status_code == 409
    gauge.refresh_from_db()
    assert gauge.calibration_due_on == date(2031, 5, 1)
    assert browser(north, "TECHNICIAN").get(at).status_code == 403


def test_page_of_forecasts_says_where_readings_fell_and_what_follows():
    north = factories.cast(code="north")
    callers.confine(north)
    ForecastScore.objects.create(
        contractor_id=north.contractor.pk,
        class_name="seat depth, undercut",
        scored_on=date(2026, 5, 1),
        readings=20,
        chances=[0, 1, 1, 1, 1, 1, 1, 1, 1, 12],
        tests=9,
        missed=5,
        tested_machines=7,
        factor=1.375,
        met_by=[{"chance": 0.1, "watched": 8, "met": 0.25, "error": 0.12}],
    )

    page = text_of(browser(north, "OFFICE").get(reverse("forecasts-held")))

    assert "9 readings of 7 machines; deeper than nine in ten forecasts had it: 5" in (
        page
    )
    assert ("1.38" in page) or ("1.37" in page)
    assert "20 readings by tenths of what was forecast" in page
    assert "25 %" in page
    # twelve of twenty are six times the even share: the bar fills the picture
    assert 'height="80" fill' in page
    refused = browser(north, "TECHNICIAN").get(reverse("forecasts-held"))
    assert refused.status_code == 403
