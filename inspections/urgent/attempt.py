"""Urgent mails on their way."""

from fleet.platform.outbox import Outbox
from inspections.models import UrgentMail
from inspections.urgent import letter
from inspections.urgent.mailing import WARN

# Minutes to wait after each try: soon at first, because it is urgent; five days in
# all, as RFC 5321, 4.5.4.1, advises.
WAITS_MIN = (1, 1, 2, 5, 10, 30, 60, 120, 480, 1440, 1440, 1440, 1440, 1440)

OUTBOX = Outbox(
    table=UrgentMail,
    job_kind=WARN,
    waits_min=WAITS_MIN,
    compose=letter.compose,
    related=("contractor",),
)
