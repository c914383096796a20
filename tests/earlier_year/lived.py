"""A year of the demo's machines in whichever version this is run in.

Run by the folder's command inside a tree of files, an earlier one's or today's. It
knows both, so it imports nothing of ours before it has looked where it is.

    live    make the tables, register the portfolio, take its readings in, live the year
    judge   bring the tables up to date, tell what stands, judge anew, tell it again
"""

import json
import os
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path
from unittest import mock

RECEIVED_AT = datetime(2026, 11, 25, 8, 0, tzinfo=UTC)
QUARTERS = [RECEIVED_AT - timedelta(days=91 * n) for n in (3, 2, 1, 0)]
DAY_AFTER = RECEIVED_AT + timedelta(days=1)
HAS_ROOMS = Path("fleet/project").is_dir()
SETTINGS = "fleet.project.settings" if HAS_ROOMS else "fleet.settings"


def main(what):
    """Do what the word says; print what stands as JSON."""
    os.environ["DJANGO_SETTINGS_MODULE"] = SETTINGS
    import django

    django.setup()
    from django.core.management import call_command

    call_command("migrate", database="owner", verbosity=0, interactive=False)
    with mock.patch("celery.current_app.send_task"):
        told = live() if what == "live" else judge()
    sys.stdout.write(json.dumps(told))


def live():
    """Live the year quarter by quarter; return what stands at its end."""
    from django.db import transaction

    with transaction.atomic():
        scope = registered()
        tenancy().confine(contractor_id=scope.contractor_id)
        for now in QUARTERS:
            look(scope, now)
        return standing(scope)


def judge():
    """Return what stands after the upgrade, and what stands judged anew."""
    from django.db import transaction

    from fleet.models import Membership

    scope = scope_of(Membership.objects.get(role="TECHNICIAN"))
    with transaction.atomic():
        tenancy().confine(contractor_id=scope.contractor_id)
        upgraded = standing(scope)
        look(scope, DAY_AFTER)
        return {"upgraded": upgraded, "anew": standing(scope)}


def look(scope, now):
    """Judge, forecast and work out the options of every machine."""
    from fleet.models import Machine
    from inspections import assessment, forecasts, options, urgent

    ids = list(Machine.objects.within(scope).values_list("pk", flat=True))
    assessment.assess(scope=scope, machine_ids=ids, as_of=now)
    urgent.tell_of_findings(scope=scope, machine_ids=ids, now=now)
    forecasts.project(scope=scope, machine_ids=ids, as_of=now)
    options.recompute(scope=scope, machine_ids=ids, as_of=now)


def standing(scope):
    """Return grades and findings that stand, and the mails that were written."""
    from inspections.models import Assessment, Finding, UrgentMail

    grades = Assessment.objects.within(scope).order_by("pk")
    rows = Finding.objects.within(scope).filter(current=True)
    mails = UrgentMail.objects.within(scope).exclude(assessment=None)
    return {
        "grades": dict(grades.values_list("machine__code", "grade")),
        "findings": sorted(
            rows.values_list(
                "machine__code", "topic", "place", "grade", "stops_service", "reason"
            )
        ),
        "mails": mails.count(),
    }


def registered():
    """Register the portfolio, take its readings in; return the technician's scope."""
    from fleet.models import Membership, Person
    from inspections.intake import accept
    from inspections.models import Gauge

    portfolio = json.loads(Path("fixtures/demo/portfolio.json").read_text("utf-8"))
    contractor = registry().register(portfolio=portfolio)
    tenancy().confine(contractor_id=contractor.pk)
    for gauge in portfolio["gauges"]:
        Gauge.objects.create(contractor=contractor, **gauge)
    Person.objects.update(email="office@lifts.example")
    scope = scope_of(Membership.objects.get(contractor=contractor, role="TECHNICIAN"))
    uploads = json.loads(Path("fixtures/demo/uploads.json").read_text("utf-8"))
    for upload in uploads["uploads"]:
        accept(
            scope=scope,
            body=upload,
            fingerprint="",
            key=None,
            received_at=RECEIVED_AT,
            most=10_000,
        )
    tenancy().confine(contractor_id=contractor.pk)
    return scope


def scope_of(membership):
    """Return what a membership may see."""
    return tenancy().Scope(
        contractor_id=membership.contractor_id,
        membership_id=membership.pk,
        role=membership.role,
        owner_id=None,
    )


def tenancy():
    """Return the module of tenants, wherever this version has it."""
    if HAS_ROOMS:
        from fleet.platform.database import tenancy as found
    else:
        from fleet import tenancy as found
    return found


def registry():
    """Return the module that registers a portfolio, wherever this version has it."""
    if HAS_ROOMS:
        from fleet.register import registry as found
    else:
        from fleet import registry as found
    return found


if __name__ == "__main__":
    main(sys.argv[1])
