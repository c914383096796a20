"""Short ways to bring a heap of readings in and take it out again."""

import hashlib
import json
from datetime import UTC, datetime
from pathlib import Path

from fleet.models import Contractor, Membership, Person
from fleet.platform.database import tenancy
from fleet.platform.database.tenancy import Scope
from fleet.register import registry
from fleet.register.exchange import exporting
from fleet.register.exchange.dialect import Dialect
from inspections import intake
from inspections.exchange import importing
from inspections.exchange.exporting import ReadingsTable
from inspections.models import Gauge

DEMO = Path(__file__).parents[3] / "fixtures" / "demo"
RECEIVED_AT = datetime(2026, 11, 25, 8, 0, tzinfo=UTC)


def bring_in(scope, text, *, dry_run=False, most_at_once=10_000, **declared):
    dialect = Dialect(**declared)
    tenancy.confine(contractor_id=scope.contractor_id)
    return importing.bring_in(
        scope=scope,
        content=text if isinstance(text, bytes) else text.encode(dialect.encoding),
        dialect=dialect,
        dry_run=dry_run,
        received_at=RECEIVED_AT,
        most_at_once=most_at_once,
    )


def take_out(scope):
    return b"".join(exporting.csv_pieces(scope=scope, outgoing=ReadingsTable()))


def said(outcome):
    return [(error.row, error.column, error.code) for error in outcome.errors]


def demo_scope():
    """Register the demo and send its uploads; return the technician's scope."""
    portfolio = json.loads((DEMO / "portfolio.json").read_text(encoding="utf-8"))
    contractor = registry.register(portfolio=portfolio)
    for gauge in portfolio["gauges"]:
        Gauge.objects.create(contractor=contractor, **gauge)
    scope = _scope(Membership.objects.get(contractor=contractor, role="TECHNICIAN"))
    sent = json.loads((DEMO / "uploads.json").read_text(encoding="utf-8"))
    for upload in sent["uploads"]:
        intake.accept(
            scope=scope,
            body=upload,
            fingerprint=hashlib.sha256(json.dumps(upload).encode()).hexdigest(),
            key=None,
            received_at=RECEIVED_AT,
            most=10_000,
        )
    return scope


def second_scope():
    """Make a contractor that has an office and nothing else."""
    contractor = Contractor.objects.create(name="Second", code="second")
    tenancy.confine(contractor_id=contractor.pk)
    person = Person.objects.create(username="second-office")
    membership = Membership.objects.create(
        person=person, contractor=contractor, role="OFFICE"
    )
    return _scope(membership)


def _scope(membership):
    return Scope(
        contractor_id=membership.contractor_id,
        membership_id=membership.pk,
        role=membership.role,
    )
