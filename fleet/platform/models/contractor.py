"""Contractors (the tenants), their people and the tokens of their devices.

These tables stand outside row-level security: they are read before the
contractor of a request is known.
"""

from datetime import date
from typing import Any

from django.contrib.auth.models import AbstractUser
from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Now
from django.utils.crypto import salted_hmac

from fleet.platform import choices, visibility
from fleet.platform.database.tenancy import Scope
from fleet.platform.visibility import OFFICE, Visibility, only


class Person(AbstractUser):
    """Someone who may log in; what they may do is said by a membership."""

    session_epoch = models.PositiveIntegerField(
        default=0,
        db_default=0,
        editable=False,
        help_text="Raised to end every session at once.",
    )

    def _get_session_auth_hash(self, secret: str | None = None) -> str:
        # Django's own, with the epoch beside the password.
        return salted_hmac(
            "fleet.models.Person.session",
            f"{self.session_epoch}/{self.password}",
            secret=secret,
            algorithm="sha256",
        ).hexdigest()


class Contractor(models.Model):
    """A lift contractor: the tenant everything else belongs to."""

    visibility = Visibility(only=only(OFFICE, "created_at", "retired_on"))

    name = models.CharField(max_length=200)
    code = models.SlugField(max_length=50, unique=True)
    language = models.CharField(max_length=10, default="en")
    time_zone = models.CharField(max_length=60, default="UTC")
    nightly_due_at = models.DateTimeField(
        db_default=Now(), help_text="When the next nightly run starts."
    )
    acknowledge_minutes = models.PositiveSmallIntegerField(
        default=60,
        db_default=60,
        help_text="After so long the next on the list hears of a stop of which nobody "
        "has said to have heard.",
    )
    responsible_person = models.CharField(
        max_length=100,
        blank=True,
        db_default="",
        help_text="Whom owners and technicians ask for.",
    )
    telephone = models.CharField(
        max_length=40, blank=True, db_default="", help_text="Of that person."
    )
    office_needs_second_factor = models.BooleanField(
        default=False,
        db_default=False,
        help_text="Whether people in the office show a second factor at log-in.",
    )
    everybody_needs_second_factor = models.BooleanField(
        default=False,
        db_default=False,
        help_text="Whether technicians and readers show one too.",
    )
    report_link_days = models.PositiveSmallIntegerField(
        default=14,
        db_default=14,
        help_text="For so many days a link out of a mail opens its report.",
    )
    most_machines = models.PositiveIntegerField(
        null=True, blank=True, help_text="Machines in service; empty is no limit."
    )
    most_photo_bytes = models.PositiveBigIntegerField(
        null=True, blank=True, help_text="Bytes of photos; empty is no limit."
    )
    most_exports_a_day = models.PositiveIntegerField(
        null=True,
        blank=True,
        help_text="Files asked for within a day; empty is no limit.",
    )
    created_at = models.DateTimeField(db_default=Now(), editable=False)
    retired_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["name", "pk"]

    def __str__(self) -> str:
        return f"{self.name} ({self.code})"


class MembershipQuerySet(models.QuerySet["Membership"]):
    """Memberships; outside the second ring, so each query names the contractor."""

    def within(self, scope: Scope) -> "MembershipQuerySet":
        """Return the rows the scope may see: the own one, the office all."""
        rows = self.filter(contractor_id=scope.contractor_id)
        if visibility.sees_everything(scope):
            return rows
        return rows.filter(pk=scope.membership_id or 0)

    def usable(self) -> "MembershipQuerySet":
        """Return those that let someone do something."""
        return self.filter(
            Q(invited_at=None) | Q(joined_at__isnull=False),
            deactivated_at=None,
            person__is_active=True,
            contractor__retired_on=None,
        )


class Membership(models.Model):
    """One person's role at one contractor."""

    visibility = Visibility(only=only(OFFICE, "username"))

    person = models.ForeignKey(
        Person, on_delete=models.PROTECT, related_name="memberships", db_index=False
    )
    contractor = models.ForeignKey(
        Contractor, on_delete=models.PROTECT, related_name="memberships"
    )
    role = models.CharField(max_length=20, choices=choices.Role.choices)
    owner_id = models.BigIntegerField(
        null=True,
        blank=True,
        help_text="The building owner this reader belongs to (readers only).",
    )
    created_at = models.DateTimeField(db_default=Now(), editable=False)
    version = models.PositiveIntegerField(default=1, db_default=1, editable=False)
    invited_at = models.DateTimeField(
        null=True, editable=False, help_text="When the last invitation was asked for."
    )
    joined_at = models.DateTimeField(
        null=True, editable=False, help_text="When the invited person set a password."
    )
    deactivated_at = models.DateTimeField(null=True, blank=True)
    qualification = models.CharField(
        max_length=200,
        blank=True,
        db_default="",
        help_text="What makes the person competent to end a stop, by name.",
    )
    call_order = models.PositiveSmallIntegerField(
        null=True,
        blank=True,
        help_text="The place on the list of those who hear of a stop one by one.",
    )
    competent_until = models.DateField(
        null=True, blank=True, help_text="The last day on which it is valid."
    )

    objects = MembershipQuerySet.as_manager()

    class Meta:
        ordering = ["contractor", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["person", "contractor"], name="membership_once_per_contractor"
            ),
            models.CheckConstraint(
                condition=(
                    Q(role=choices.Role.OWNER_READER, owner_id__isnull=False)
                    | ~Q(role=choices.Role.OWNER_READER) & Q(owner_id__isnull=True)
                ),
                name="membership_reader_has_an_owner",
            ),
            models.CheckConstraint(
                condition=Q(qualification="", competent_until__isnull=True)
                | ~Q(qualification="") & Q(competent_until__isnull=False),
                name="membership_competence_says_until",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person} as {self.get_role_display()} ({self.contractor_id})"

    def is_usable(self) -> bool:
        """Tell whether it lets anyone do anything: not invited only, not ended."""
        waits = self.invited_at is not None and self.joined_at is None
        return self.deactivated_at is None and not waits

    def is_competent(self, *, on: date) -> bool:
        """Tell whether it may accept or refute what stops a machine."""
        until = self.competent_until
        return self.is_usable() and until is not None and on <= until


class TokenQuerySet(models.QuerySet[Any]):
    """Keys; outside the second ring, so each query names the contractor."""

    def within(self, scope: Scope) -> "TokenQuerySet":
        """Return the rows the scope may see: the own ones, the office all."""
        rows = self.filter(membership__contractor_id=scope.contractor_id)
        if visibility.sees_everything(scope):
            return rows
        return rows.filter(membership_id=scope.membership_id or 0)


class Token(models.Model):
    """A device's key. Only its digest is kept; the key is shown once."""

    visibility = Visibility()

    membership = models.ForeignKey(
        Membership, on_delete=models.PROTECT, related_name="tokens"
    )
    device = models.CharField(max_length=100)
    prefix = models.CharField(max_length=12, unique=True)
    digest = models.CharField(max_length=64)
    scopes = ArrayField(
        models.CharField(max_length=10, choices=choices.TokenScope.choices)
    )
    created_at = models.DateTimeField(db_default=Now(), editable=False)
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    last_used_at = models.DateTimeField(null=True, blank=True)
    with_factor = models.BooleanField(
        default=False,
        db_default=False,
        editable=False,
        help_text="Issued by someone who had shown a second factor, or by the server.",
    )
    replaces = models.ForeignKey(
        "self",
        on_delete=models.PROTECT,
        null=True,
        editable=False,
        related_name="+",
        db_index=False,
    )
    issued_by_id = models.BigIntegerField(
        null=True,
        editable=False,
        help_text="The key that made this one, where no person in a session did.",
    )

    objects = TokenQuerySet.as_manager()

    class Meta:
        ordering = ["membership", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(expires_at__gt=F("created_at")), name="token_expires_later"
            ),
            models.CheckConstraint(
                condition=Q(scopes__len__gt=0), name="token_has_a_scope"
            ),
        ]
        indexes = [
            models.Index(
                fields=["replaces"],
                condition=Q(replaces__isnull=False),
                name="token_replacing",
            ),
            models.Index(
                fields=["issued_by_id"],
                condition=Q(issued_by_id__isnull=False),
                name="token_issued_by_key",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.device} ({self.prefix})"
