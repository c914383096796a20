"""What can be done about a machine, as worked out last."""

from typing import Any

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.models import Machine
from fleet.platform.api.permissions import scope_of
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import NotFound
from fleet.register.api.viewsets import Confined, etag
from inspections import cautions, inputs, queries
from inspections.api import from_records, stops
from inspections.api.stops import OutOfServiceOut
from inspections.api.terms_shapes import ThresholdOut
from inspections.decisions.records import Cost, MarginChange, Option, SourcedReason
from inspections.engineering.cut import CutPlan
from inspections.models import OptionSet, Terms
from inspections.reasons import Reason
from inspections.reasons.reason import NAMED
from inspections.reasons.serial import item_as_json


class SaidOut(serializers.JSONField):
    """A reason as code and values, as it is stored or as a kernel has it."""

    def to_representation(self, value: Any) -> Any:
        """Return the code and values."""
        return item_as_json(value) if isinstance(value, (Reason, *NAMED)) else value


class ReasonOut(serializers.Serializer[Any]):
    """One sentence, and its source: a document, geometry, or "our rule".

    `said` is the same as code and values; null in what an earlier version stored.
    """

    text = serializers.CharField()
    source = serializers.CharField()  # type: ignore[assignment]
    said = SaidOut(required=False, allow_null=True, default=None)


class CostOut(serializers.Serializer[Any]):
    """An amount by the contractor's own rates, or what is missing to say it."""

    currency = serializers.CharField(allow_blank=True)
    low = serializers.FloatField(allow_null=True)
    mid = serializers.FloatField(allow_null=True)
    high = serializers.FloatField(allow_null=True)
    missing = serializers.ListField(child=serializers.CharField())
    missing_said = serializers.JSONField(required=False)


class MarginOut(serializers.Serializer[Any]):
    """Traction of one load case before and after; null is not assessed."""

    case = serializers.CharField()
    before = serializers.FloatField(allow_null=True)
    after = serializers.FloatField(allow_null=True)
    met_otherwise = serializers.BooleanField()


class OptionOut(serializers.Serializer[Any]):
    """One course: what it answers, whether it can be taken, by when, what it leaves.

    `cost` is shown to the office only.
    """

    words = serializers.CharField()

    def get_fields(self) -> dict[str, serializers.Field[Any, Any, Any, Any]]:
        """Return the fields of the record; what is worded stands there twice."""
        own = from_records.fields_of(Option, by_type=_BY_TYPE)
        return {**own, **super().get_fields()}


def _items(name: str) -> from_records.Made:
    return {
        name: serializers.ListField(child=serializers.CharField()),
        f"{name}_said": serializers.JSONField(required=False),
    }


_BY_TYPE: from_records.ByType = {
    SourcedReason: lambda name: {name: ReasonOut(many=True)},
    Reason: _items,
    MarginChange: lambda name: {name: MarginOut(many=True)},
    CutPlan: lambda name: {name: serializers.JSONField(allow_null=True)},
    # Whoever may not see costs is given none.
    Cost: lambda name: {name: CostOut(required=False)},
}


class MachineOptionsOut(OutOfServiceOut):
    """The options of a machine, the first in rank first.

    `as_of` is null while nothing has been worked out. `changed_thresholds` are those
    that the contractor has set, which are not the defaults the rules came with.
    """

    machine = serializers.IntegerField()
    code = serializers.CharField()
    as_of = serializers.DateTimeField(allow_null=True)
    version = serializers.IntegerField(allow_null=True)
    rules_version = serializers.CharField(allow_blank=True)
    inputs_digest = serializers.CharField(allow_blank=True)
    assessment = serializers.IntegerField(allow_null=True)
    changed_thresholds = ThresholdOut(many=True)
    options = OptionOut(many=True)
    cautions = serializers.ListField(child=serializers.CharField())


def machine_of(scope: Scope, pk: int) -> Machine:
    """Return a machine within reach. Raises NotFound."""
    machine: Machine | None = Machine.objects.within(scope).filter(pk=pk).first()
    if machine is None:
        raise NotFound
    return machine


class MachineOptionsView(Confined, APIView):
    """Every option of a machine with its reasons, dates and what it leaves open."""

    @extend_schema(
        parameters=[OpenApiParameter("id", int, OpenApiParameter.PATH)],
        responses=MachineOptionsOut,
    )
    def get(self, request: Request, pk: int) -> Response:
        scope = scope_of(request)
        machine = machine_of(scope, pk)
        found = OptionSet.objects.within(scope).filter(machine=machine).first()
        standing = stops.out_of_service(
            queries.open_stops(scope=scope, machine_ids=[machine.pk])
        )
        answer = {
            **standing,
            "machine": machine.pk,
            "code": machine.code,
            "as_of": found.as_of if found else None,
            "version": found.version if found else None,
            "rules_version": found.rules_version if found else "",
            "inputs_digest": found.inputs_digest if found else "",
            "assessment": found.facts.get("assessment") if found else None,
            "out_of_service": standing["out_of_service"]
            or bool(found and found.out_of_service),
            "changed_thresholds": _changed(found),
            "options": [
                from_records.completed(Option, each)
                for each in _shown(found, scope=scope)
            ],
            "cautions": cautions.SHORT,
        }
        headers = {"ETag": etag(found)} if found else {}
        return Response(MachineOptionsOut(answer).data, headers=headers)


def _shown(found: OptionSet | None, *, scope: Scope) -> Any:
    """Return the stored options as the role may see them."""
    if found is None:
        return ()
    return found.visibility.value("options", found.options, scope=scope)


def _changed(found: OptionSet | None) -> Any:
    """Return the thresholds that were changed when the options were worked out."""
    row_id = found.terms.get("THRESHOLDS") if found else None
    if row_id is None or found is None:
        return ()
    row = Terms.objects.filter(contractor_id=found.contractor_id, pk=row_id).first()
    return inputs.terms.thresholds_of(row).changed
