"""The contractor's rates, lead times, thresholds and checks: now, changed, before."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.platform.api import strict_fields
from fleet.platform.api.errors import PreconditionFailed, PreconditionRequired
from fleet.platform.api.fields import StrictSerializer
from fleet.platform.api.permissions import scope_of
from fleet.platform.queue import tasks
from fleet.register.api.viewsets import Confined
from inspections import inputs, options
from inspections.api.money import BandSerializer, NamedField
from inspections.decisions import thresholds as rules
from inspections.decisions.records import BoughtPart, OptionKind
from inspections.inputs.least_set import Every
from inspections.intake.accepting import ASSESS
from inspections.models import Terms, TermsSubject
from inspections.planning import currencies
from inspections.planning import terms as writing

_WORKS = tuple(str(kind) for kind in OptionKind if kind.is_work)
_PARTS = tuple(str(part) for part in BoughtPart)
_LONGEST_WAIT_DAYS = 1500


class _Days(strict_fields.StrictInteger):
    def __init__(self, **how: Any) -> None:
        super().__init__(min_value=0, max_value=_LONGEST_WAIT_DAYS, **how)


class _Change(StrictSerializer):
    why = strict_fields.StrictText(
        max_length=500, help_text="Kept with the change, for whoever asks later."
    )


class RatesIn(_Change):
    """What is given replaces what was said of it; null is "not known any more"."""

    currency = strict_fields.StrictText(max_length=3, required=False)
    hourly = BandSerializer(required=False, allow_null=True)
    hours = NamedField(names=_WORKS, child=BandSerializer(), required=False)
    rope_per_m = BandSerializer(required=False, allow_null=True)
    parts = NamedField(names=_PARTS, child=BandSerializer(), required=False)
    hoisting = BandSerializer(required=False, allow_null=True)
    shop = NamedField(names=_WORKS, child=BandSerializer(), required=False)

    def validate_currency(self, value: str) -> str:
        if value not in currencies.CODES:
            raise serializers.ValidationError(
                f"{value!r} is no code of ISO 4217, such as EUR."
            )
        return value


class LeadTimesIn(_Change):
    parts_days = NamedField(names=_PARTS, child=_Days(), required=False)
    shop_days = NamedField(names=_WORKS, child=_Days(), required=False)
    access_days = _Days(required=False, allow_null=True)


class ThresholdsIn(_Change):
    """null sets a threshold back to its default."""

    values = serializers.DictField(
        child=strict_fields.StrictFloat(allow_null=True), allow_empty=False
    )


class ChecksIn(_Change):
    """Months by check; null sets one back to the least set."""

    values = serializers.DictField(
        child=strict_fields.StrictInteger(allow_null=True), allow_empty=False
    )


class TermsChangeOut(serializers.ModelSerializer[Terms]):
    """One state of the terms: what was said, by whom, when, why."""

    class Meta:
        model = Terms
        fields = (
            "id",
            "said",
            "currency",
            "replaces",
            "membership_id",
            "written_at",
            "why",
        )


class TermsOut(serializers.Serializer[Any]):
    """What counts now; `said` is empty where nothing was ever said."""

    said = serializers.JSONField()
    currency = serializers.CharField(allow_blank=True)
    change = TermsChangeOut(allow_null=True)


class ThresholdOut(serializers.Serializer[Any]):
    name = serializers.CharField()
    words = serializers.CharField()
    unit = serializers.CharField()
    value = serializers.FloatField()
    default = serializers.FloatField()
    low = serializers.FloatField()
    high = serializers.FloatField()
    source = serializers.CharField()  # type: ignore[assignment]
    stricter = serializers.CharField()
    safety = serializers.BooleanField()
    is_changed = serializers.BooleanField()


class ThresholdsOut(serializers.Serializer[Any]):
    """Every threshold with its default and source, and the last change."""

    thresholds = ThresholdOut(many=True)
    change = TermsChangeOut(allow_null=True)


class CheckAgeOut(serializers.Serializer[Any]):
    """One check of the set; one without a default is asked for by you alone."""

    name = serializers.CharField()
    every = serializers.ChoiceField(choices=[str(each) for each in Every])
    kinds = serializers.ListField(child=serializers.CharField())
    part = serializers.CharField(allow_blank=True)
    months = serializers.IntegerField(allow_null=True)
    default_months = serializers.IntegerField(allow_null=True)
    uk_months = serializers.IntegerField(allow_null=True)


class LeastSetOut(serializers.Serializer[Any]):
    """Every check with the age that holds everywhere, and what was said."""

    checks = CheckAgeOut(many=True)
    said = serializers.DictField(child=serializers.IntegerField())
    change = TermsChangeOut(allow_null=True)


class _TermsView(Confined, APIView):
    """Terms on one subject; a change names the state it changes (If-Match)."""

    queryset = Terms.objects.all()
    subject = TermsSubject.RATES
    takes: type[StrictSerializer] = RatesIn
    kind_of_job = options.OF_CHUNK

    def get(self, request: Request) -> Response:
        return self._answer(
            writing.standing(scope=scope_of(request), subject=self.subject)
        )

    def patch(self, request: Request) -> Response:
        scope = scope_of(request)
        wanted = request.headers.get("If-Match")
        if wanted is None:
            raise PreconditionRequired
        last = writing.standing(scope=scope, subject=self.subject)
        if wanted.strip() not in ("*", _tag(self.subject, last)):
            raise PreconditionFailed
        given = self.takes(data=request.data)
        given.is_valid(raise_exception=True)
        fields = dict(given.validated_data)
        written = writing.change(
            scope=scope,
            subject=self.subject,
            why=fields.pop("why"),
            currency=fields.pop("currency", None),
            changes=fields.pop("values", fields),
            now=timezone.now(),
        )
        tasks.wake_after_commit(job_ids=written.job_ids, kind=self.kind_of_job)
        return self._answer(written.row)

    def _answer(self, row: Terms | None) -> Response:
        return Response(self._body(row), headers={"ETag": _tag(self.subject, row)})

    def _body(self, row: Terms | None) -> Any:
        return TermsOut(
            {
                "said": row.said if row else {},
                "currency": row.currency if row else "",
                "change": row,
            }
        ).data


def _tag(subject: str, row: Terms | None) -> str:
    return f'"{subject.lower()}-{row.pk if row else 0}"'


_BAND = {"low": "70.00", "mid": "80.00", "high": "95.00"}


class RatesView(_TermsView):
    """What work costs; an amount is decimal text in the currency."""

    @extend_schema(responses=TermsOut)
    def get(self, request: Request) -> Response:
        return super().get(request)

    @extend_schema(
        request=RatesIn,
        responses=TermsOut,
        examples=[
            OpenApiExample(
                "hour",
                value={"currency": "EUR", "hourly": _BAND, "why": "rates of 2026"},
                request_only=True,
            )
        ],
    )
    def patch(self, request: Request) -> Response:
        return super().patch(request)


class LeadTimesView(_TermsView):
    """Days from order to delivery or to the shop's begin, and to get access."""

    subject = TermsSubject.LEAD_TIMES
    takes = LeadTimesIn

    @extend_schema(responses=TermsOut)
    def get(self, request: Request) -> Response:
        return super().get(request)

    @extend_schema(request=LeadTimesIn, responses=TermsOut)
    def patch(self, request: Request) -> Response:
        return super().patch(request)


class ThresholdsView(_TermsView):
    """The values that decisions turn on; those on safety only get stricter."""

    subject = TermsSubject.THRESHOLDS
    takes = ThresholdsIn

    @extend_schema(responses=ThresholdsOut)
    def get(self, request: Request) -> Response:
        return super().get(request)

    @extend_schema(request=ThresholdsIn, responses=ThresholdsOut)
    def patch(self, request: Request) -> Response:
        return super().patch(request)

    def _body(self, row: Terms | None) -> Any:
        found = inputs.terms.thresholds_of(row) if row else rules.DEFAULTS
        return ThresholdsOut({"thresholds": found.rows, "change": row}).data


class ChecksView(_TermsView):
    """The least set of checks and its greatest ages; they only get stricter.

    A name is a check, or a criteria set and a check (`EN_81_20/brake`): then it holds
    where that set does. The strictest that applies counts, in the United Kingdom (by
    the building's clock) six months for parts and run-by.
    """

    subject = TermsSubject.CHECKS
    takes = ChecksIn
    kind_of_job = ASSESS

    @extend_schema(responses=LeastSetOut)
    def get(self, request: Request) -> Response:
        return super().get(request)

    @extend_schema(
        request=ChecksIn,
        responses=LeastSetOut,
        examples=[
            OpenApiExample(
                "shorter",
                value={
                    "values": {"brake": 6, "EN_81_20/fastening": 3, "guards": 12},
                    "why": "agreed with the insurer",
                },
                request_only=True,
            )
        ],
    )
    def patch(self, request: Request) -> Response:
        return super().patch(request)

    def _body(self, row: Terms | None) -> Any:
        said = inputs.terms.checks_of(row)
        return LeastSetOut(
            {
                "checks": [
                    {
                        "name": check.code,
                        "every": str(check.every),
                        "kinds": list(check.kinds),
                        "part": check.part,
                        "months": said.get(check.code, check.months),
                        "default_months": check.months,
                        "uk_months": check.short_months,
                    }
                    for check in inputs.CHECKS.values()
                ],
                "said": dict(said),
                "change": row,
            }
        ).data


class TermsHistoryView(Confined, APIView):
    """Every state of one subject, the latest first; nothing is ever taken out."""

    queryset = Terms.objects.all()
    subject = TermsSubject.RATES

    @extend_schema(responses=TermsChangeOut(many=True))
    def get(self, request: Request) -> Response:
        rows = Terms.objects.within(scope_of(request)).filter(subject=self.subject)
        return Response(TermsChangeOut(rows[:500], many=True).data)
