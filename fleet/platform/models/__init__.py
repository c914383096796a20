"""Tables of the platform."""

from fleet.platform.models.change import Change, ChangeAct
from fleet.platform.models.contractor import Contractor, Membership, Person, Token
from fleet.platform.models.job import Job
from fleet.platform.models.mail_release import MailRelease
from fleet.platform.models.phone import PairingCode, Phone
from fleet.platform.models.second_factor import FactorKind, SecondFactor
from fleet.platform.models.sent_form import SentForm
from fleet.platform.models.tally import Tally
from fleet.platform.models.tenant import Sourced, TenantQuerySet, TenantRow
from fleet.platform.models.tick import Tick

__all__ = [
    "Change",
    "ChangeAct",
    "Contractor",
    "FactorKind",
    "Job",
    "MailRelease",
    "Membership",
    "PairingCode",
    "Person",
    "Phone",
    "SecondFactor",
    "SentForm",
    "Sourced",
    "Tally",
    "TenantQuerySet",
    "TenantRow",
    "Tick",
    "Token",
]
