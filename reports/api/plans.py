"""Plans: reports that come by themselves; for the office."""

from fleet.register.api.viewsets import RegisterViewSet
from reports.api import serializers
from reports.models import ReportPlan


class ReportPlanViewSet(RegisterViewSet):
    """Which condition report comes how often, for whom, in which language."""

    queryset = ReportPlan.objects.select_related("owner", "building", "contractor")
    serializer_class = serializers.ReportPlanSerializer
    filterset_fields = {
        "owner": ["exact"],
        "building": ["exact"],
        "state": ["exact"],
    }
