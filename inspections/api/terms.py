"""The contractor's rates, lead times, thresholds and checks: now, changed, before."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.platform.api.errors import PreconditionFailed, PreconditionRequired
from fleet.platform.api.fields import StrictSerializer
from fleet.platform.api.permissions import scope_of
from fleet.platform.queue import tasks
from fleet.register.api.viewsets import Confined
from inspections import inputs, options
from inspections.api.terms_shapes import (
    ChecksIn,
    LeadTimesIn,
    LeastSetOut,
    RatesIn,
    SuggestedRatesOut,
    TermsChangeOut,
    TermsOut,
    ThresholdsIn,
    ThresholdsOut,
)
from inspections.decisions import thresholds as rules
from inspections.intake.accepting import ASSESS
from inspections.json_records import plain
from inspections.models import Terms, TermsSubject
from inspections.planning import spending
from inspections.planning import terms as writing


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


class SuggestedRatesView(Confined, APIView):
    """What work of the last three years suggests; the rates stay as they are."""

    queryset = Terms.objects.all()

    @extend_schema(responses=SuggestedRatesOut)
    def get(self, request: Request) -> Response:
        scope = scope_of(request)
        row = writing.standing(scope=scope, subject=TermsSubject.RATES)
        currency = row.currency if row else ""
        found = spending.suggested(
            scope=scope, currency=currency, today=timezone.now().date()
        )
        answer = plain(found) | {"currency": currency}
        return Response(SuggestedRatesOut(answer).data)


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
