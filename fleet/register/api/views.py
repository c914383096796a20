"""The register's resources, and where longer work stands."""

from typing import Any

from rest_framework import mixins, viewsets
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.platform.api.permissions import scope_of
from fleet.platform.models import Job
from fleet.register import quotas
from fleet.register.api import serializers
from fleet.register.api.viewsets import (
    Confined,
    ConfinedReadViewSet,
    RegisterViewSet,
    Sorted,
)
from fleet.register.models import (
    Building,
    Groove,
    Machine,
    Owner,
    Pulley,
    Rope,
    RopeInGroove,
    RopeSet,
    Sheave,
    SheaveGeometry,
    Work,
)


class OwnerViewSet(RegisterViewSet):
    queryset = Owner.objects.all()
    serializer_class = serializers.OwnerSerializer
    ordering_fields = ("code", "name")
    search_fields = ("code", "name")
    filterset_fields = {"code": ["exact"], "retired_on": ["isnull"]}


class BuildingViewSet(RegisterViewSet):
    queryset = Building.objects.all()
    serializer_class = serializers.BuildingSerializer
    ordering_fields = ("code", "name")
    search_fields = ("code", "name", "address")
    filterset_fields = {"owner": ["exact"], "code": ["exact"], "retired_on": ["isnull"]}


class MachineViewSet(RegisterViewSet):
    """Machines; one more in service than there may be is refused."""

    queryset = Machine.objects.all()
    serializer_class = serializers.MachineSerializer
    ordering_fields = ("code", "name", "installed_on")
    search_fields = ("code", "name", "building__name")
    filterset_fields = {
        "building": ["exact"],
        "building__owner": ["exact"],
        "code": ["exact"],
        "retired_on": ["isnull"],
    }

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        with quotas.on_machines(scope=scope_of(request)):
            return super().create(request, *args, **kwargs)

    def partial_update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        with quotas.on_machines(scope=scope_of(request)):
            return super().partial_update(request, *args, **kwargs)


class PulleyViewSet(RegisterViewSet):
    queryset = Pulley.objects.all()
    serializer_class = serializers.PulleySerializer
    ordering_fields = ("fitted_on",)
    filterset_fields = {"machine": ["exact"]}


class SheaveViewSet(RegisterViewSet):
    queryset = Sheave.objects.all()
    serializer_class = serializers.SheaveSerializer
    ordering_fields = ("fitted_on",)
    search_fields = ("machine__code", "material")
    filterset_fields = {"machine": ["exact"], "retired_on": ["isnull"]}


class SheaveGeometryViewSet(RegisterViewSet):
    queryset = SheaveGeometry.objects.all()
    serializer_class = serializers.SheaveGeometrySerializer
    ordering_fields = ("valid_from",)
    filterset_fields = {"sheave": ["exact"], "sheave__machine": ["exact"]}


class GrooveViewSet(RegisterViewSet):
    queryset = Groove.objects.all()
    serializer_class = serializers.GrooveSerializer
    ordering_fields = ("number",)
    search_fields = ("mark",)
    filterset_fields = {"sheave": ["exact"], "sheave__machine": ["exact"]}


class RopeSetViewSet(RegisterViewSet):
    queryset = RopeSet.objects.all()
    serializer_class = serializers.RopeSetSerializer
    ordering_fields = ("fitted_on",)
    search_fields = ("machine__code", "certificate")
    filterset_fields = {"machine": ["exact"], "retired_on": ["isnull"]}


class RopeViewSet(RegisterViewSet):
    queryset = Rope.objects.all()
    serializer_class = serializers.RopeSerializer
    ordering_fields = ("number",)
    filterset_fields = {"rope_set": ["exact"], "rope_set__machine": ["exact"]}


class RopeInGrooveViewSet(RegisterViewSet):
    queryset = RopeInGroove.objects.all()
    serializer_class = serializers.RopeInGrooveSerializer
    filterset_fields = {"rope": ["exact"], "groove": ["exact"]}


class WorkViewSet(Sorted, ConfinedReadViewSet):
    """Work as it was reported done; reporting is one act, at the machine."""

    queryset = Work.objects.all()
    serializer_class = serializers.WorkSerializer
    ordering_fields = ("done_on",)
    search_fields = ("machine__code", "done_by", "note")
    filterset_fields = {"machine": ["exact"], "kind": ["exact"]}


class JobViewSet(Confined, mixins.RetrieveModelMixin, viewsets.GenericViewSet[Job]):
    """The state of one piece of longer work."""

    # int() would read "1_0" as ten, and other scripts' digits.
    lookup_value_regex = "[0-9]{1,18}"
    queryset = Job.objects.all()
    serializer_class = serializers.JobSerializer

    def get_queryset(self) -> Any:
        # The job table stands outside row-level security: the filter is the ring.
        return Job.objects.within(scope_of(self.request))
