"""What people received, on its way out: reports as frozen, and their mails."""

from fleet.register.exchange.exporting import Outgoing
from fleet.register.exchange.tables import TenantTable
from reports import models

OUTGOING: tuple[Outgoing, ...] = (
    TenantTable(model=models.ReportPlan, name="report-plans"),
    # The drawn file is fetched by the report's own address.
    TenantTable(model=models.Report, name="reports"),
    TenantTable(model=models.Delivery, name="deliveries", leave_out=("link_key",)),
    TenantTable(model=models.RefusedAddress, name="refused-addresses"),
)
