"""Short ways to bring files in and take them out, as one contractor's office."""

import json
from pathlib import Path

from fleet.models import Contractor
from fleet.platform.database import tenancy
from fleet.platform.database.tenancy import Scope
from fleet.register import registry
from fleet.register.exchange import exporting, importing
from fleet.register.exchange.dialect import Dialect
from fleet.register.exchange.register import REGISTER, RESOURCES

DEMO = Path(__file__).parents[4] / "fixtures" / "demo" / "portfolio.json"


def demo_scope():
    """Register the demo's portfolio and return its contractor's scope."""
    portfolio = json.loads(DEMO.read_text(encoding="utf-8"))
    return Scope(contractor_id=registry.register(portfolio=portfolio).pk)


def empty_scope(*, code="empty"):
    """Make a contractor that has nothing yet."""
    contractor = Contractor.objects.create(name=code, code=code)
    tenancy.confine(contractor_id=contractor.pk)
    return Scope(contractor_id=contractor.pk)


def bring_in(scope, name, text, *, dry_run=False, **declared):
    """Bring one file in; the text may be bytes already."""
    dialect = declared.pop("dialect", None) or Dialect(**declared)
    tenancy.confine(contractor_id=scope.contractor_id)
    content = text if isinstance(text, bytes) else text.encode(dialect.encoding)
    file = importing.File(resource=RESOURCES[name], content=content)
    return importing.bring_in(
        scope=scope, files=[file], dialect=dialect, dry_run=dry_run
    )[0]


def bring_all_in(scope, files, *, dry_run=False):
    """Bring files in by their resources' names, in the register's order."""
    tenancy.confine(contractor_id=scope.contractor_id)
    return importing.bring_in(
        scope=scope,
        files=[
            importing.File(resource=resource, content=files[resource.name])
            for resource in REGISTER
            if resource.name in files
        ],
        dialect=Dialect(),
        dry_run=dry_run,
    )


def take_out(scope, name):
    return b"".join(
        exporting.csv_pieces(
            scope=scope, outgoing=exporting.Register(resource=RESOURCES[name])
        )
    )


def take_all_out(scope):
    return {resource.name: take_out(scope, resource.name) for resource in REGISTER}


def said(outcome):
    """Return the errors as (row, column, code)."""
    return [(error.row, error.column, error.code) for error in outcome.errors]
