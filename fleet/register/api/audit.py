"""Who changed what, when, and with which token: for the office, to read."""

from django.db.models import CharField, OuterRef, QuerySet, Subquery
from rest_framework import serializers

from fleet.platform import naming
from fleet.platform.models import Change, Person, Token
from fleet.register.api.viewsets import ConfinedReadViewSet, Sorted


class ChangeSerializer(serializers.ModelSerializer[Change]):
    """One row that was created, changed or removed."""

    by = serializers.CharField(allow_null=True, help_text="The person's login name.")
    device = serializers.CharField(allow_null=True, help_text="The token's device.")

    class Meta:
        model = Change
        fields = (
            "id",
            "created_at",
            "table",
            "row_id",
            "act",
            "fields",
            "by",
            "device",
            "membership_id",
            "token_id",
            "via",
            "request",
            "transaction",
        )
        read_only_fields = fields


class AuditViewSet(Sorted, ConfinedReadViewSet):
    """Every change of the register, of people, tokens, uploads, plans and reports.

    An upload is one entry; its readings name it. An import is an entry for each row
    that it changed, all of one transaction.
    """

    queryset = Change.objects.all()
    serializer_class = ChangeSerializer
    ordering_fields = ("created_at",)
    filterset_fields = {
        "table": ["exact"],
        "row_id": ["exact"],
        "act": ["exact"],
        "membership_id": ["exact"],
        "token_id": ["exact"],
        "request": ["exact"],
        "transaction": ["exact"],
        "created_at": ["gte", "lt"],
    }

    def get_queryset(self) -> QuerySet[Change]:
        person = Person.objects.filter(pk=OuterRef("person_id")).values_list(
            naming.own_name_of("username")
        )
        token = Token.objects.filter(pk=OuterRef("token_id")).values("device")
        rows: QuerySet[Change] = super().get_queryset()
        return rows.annotate(
            by=Subquery(person[:1], output_field=CharField()),
            device=Subquery(token[:1], output_field=CharField()),
        )
