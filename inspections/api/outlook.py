"""Over a horizon: options side by side, the portfolio's budget, the shop's order."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import exceptions
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.platform.api.permissions import OfficeOnly, StaffOnly, scope_of
from fleet.platform.errors import NotFound
from fleet.register.api.viewsets import Confined
from inspections import cautions
from inspections.api.outlook_answers import (
    KINDS,
    BudgetOut,
    ComparisonOut,
    RegrooveOrderOut,
)
from inspections.decisions import regroove_order
from inspections.decisions.records import (
    OptionKind,
    OrderLine,
    RegrooveOrder,
    Standing,
)
from inspections.json_records import plain
from inspections.options import live, saying
from inspections.planning import budgeting, comparing
from inspections.reasons import english
from inspections.scenarios import into_order, into_work

_LARGEST_SEED = 2**31 - 1
_ID = OpenApiParameter("id", int, OpenApiParameter.PATH)
_SEED = OpenApiParameter("seed", int, description="The same seed, the same draws.")


class ComparisonView(Confined, APIView):
    """The options of a machine over a horizon: expected cost and visits."""

    permission_classes = [OfficeOnly]

    @extend_schema(
        parameters=[
            _ID,
            _SEED,
            OpenApiParameter("horizon_years", int, description="1 to 40; else 15."),
            OpenApiParameter("draws", int, description="100 to 10,000; else 2,000."),
        ],
        responses=ComparisonOut,
    )
    def get(self, request: Request, pk: int) -> Response:
        asked = _numbers(
            request,
            seed=(comparing.SEED, 0, _LARGEST_SEED),
            horizon_years=(comparing.YEARS, 1, 40),
            draws=(comparing.DRAWS, 100, 10_000),
        )
        both = comparing.over_years(
            scope=scope_of(request), machine_id=pk, now=timezone.now(), **asked
        )
        found, compared = both.found, both.comparison
        answer: dict[str, Any] = plain(compared) | {
            "machine": pk,
            "code": found.code,
            "seed": asked["seed"],
            "doubts": saying.reasons(compared.doubts),
            "left_out": [
                {"kind": k, "why": str(w), "why_said": w} for k, w in compared.left_out
            ],
            "changed_thresholds": found.terms.thresholds.changed,
            "cautions": cautions.SHORT,
        }
        for course, followed in zip(answer["courses"], compared.courses, strict=True):
            course["works"] = _named(course["works"])
            course.update(saying.items("missing", followed.missing))
            course["standing"] = _standing(followed.standing)
        return Response(ComparisonOut(answer).data)


class BudgetView(Confined, APIView):
    """Expected work and cost of the portfolio by quarter.

    Machines times draws are at most 1,000,000: 2,000 machines at 500 draws. Of more,
    ask for a building's or an owner's, or order a portfolio review.
    """

    permission_classes = [OfficeOnly]

    @extend_schema(
        parameters=[
            _SEED,
            OpenApiParameter("quarters", int, description="1 to 40; else 12."),
            OpenApiParameter("draws", int, description="100 to 2,000; else 500."),
            OpenApiParameter("building", int),
            OpenApiParameter("owner", int),
        ],
        responses=BudgetOut,
    )
    def get(self, request: Request) -> Response:
        asked = _numbers(
            request,
            seed=(1, 0, _LARGEST_SEED),
            quarters=(12, 1, 40),
            draws=(500, 100, 2000),
            building=(0, 1, 10**18),
            owner=(0, 1, 10**18),
        )
        found = budgeting.while_waiting(
            scope=scope_of(request),
            quarters=asked["quarters"],
            seed=asked["seed"],
            draws=asked["draws"],
            building_id=asked["building"] or None,
            owner_id=asked["owner"] or None,
            now=timezone.now(),
        )
        answer: dict[str, Any] = plain(found) | {
            "seed": asked["seed"],
            "without_cost": [
                {"kind": kind, "missing": english(item), "missing_said": item}
                for kind, item in found.without_cost
            ],
            "dearest": [
                {"machine": each.machine_key, "cost": plain(each.cost)}
                for each in found.dearest
            ],
            "standing": _standing(found.standing),
            "cautions": [*map(str, found.cautions), *cautions.SHORT],
        }
        for quarter in (*answer["quarters"], answer["whole"]):
            quarter["counts"] = _named(quarter["counts"])
        return Response(BudgetOut(answer).data)


class RegrooveOrderView(Confined, APIView):
    """The data a shop needs to turn the grooves of a machine's sheave."""

    permission_classes = [StaffOnly]

    @extend_schema(
        parameters=[
            _ID,
            OpenApiParameter(
                "kind", str, enum=[k for k in KINDS if OptionKind(k).is_cut]
            ),
            OpenApiParameter(
                "scenario",
                int,
                description="Grooves as tried in this scenario of the machine.",
            ),
        ],
        responses=RegrooveOrderOut,
    )
    def get(self, request: Request, pk: int) -> Response:
        kind = _cut_kind(request)
        now, scope = timezone.now(), scope_of(request)
        found = live.look(scope=scope, machine_id=pk, as_of=now)
        tried = _tried(request, machine_id=pk, known=found, now=now)
        order = tried.order(kind) if tried is not None else _as_it_is(found, kind)
        answer: dict[str, Any] = plain(order) | {
            "because": saying.reasons(order.because),
            "before_turning": saying.reasons(order.before_turning),
            "after_turning": saying.reasons(order.after_turning),
            **saying.items("missing", order.missing),
            "machine": pk,
            "code": found.code,
            "as_of": now,
            "besides": list(tried.besides) if tried is not None else [],
            "lines": [_line(each) for each in order.lines],
            "cautions": [*map(str, order.cautions), *cautions.SHORT],
        }
        return Response(RegrooveOrderOut(answer).data)


def _as_it_is(found: live.Live, kind: OptionKind) -> RegrooveOrder:
    return regroove_order.draw_up(
        facts=found.facts,
        drawing=found.drawing,
        thresholds=found.terms.thresholds,
        kind=kind,
    )


def _tried(
    request: Request, *, machine_id: int, known: live.Live, now: datetime
) -> into_order.OrderAsTried | None:
    """Return the grooves of the scenario that is asked for. Raises NotFound."""
    if "scenario" not in request.query_params:
        return None
    scope = scope_of(request)
    row = into_work.asked(
        request.query_params.dict(), scope=scope, machine_id=machine_id
    )
    if row is None:
        raise NotFound
    return into_order.order_as_tried(
        scope=scope, machine_id=machine_id, changes=row.changes, known=known, now=now
    )


def _line(line: OrderLine) -> dict[str, Any]:
    answer = line.answer
    return {
        "name": line.name,
        "words": line.words,
        "said": line.called,
        "value": line.value,
        "unit": line.unit,
        "lower": line.lower,
        "upper": line.upper,
        "text": line.text if answer is None else english(answer),
        "text_said": answer,
        "source": line.source,
    }


def _standing(found: Standing) -> dict[str, Any]:
    said: dict[str, Any] = plain(found)
    return said | saying.items("missing", found.missing)


def _named(pairs: list[list[Any]]) -> list[dict[str, Any]]:
    return [{"kind": kind, "expected": expected} for kind, expected in pairs]


def _cut_kind(request: Request) -> OptionKind:
    """Return the kind of cut that is asked for. Raises ParseError."""
    for name, values in request.query_params.lists():
        if name not in ("kind", "scenario") or len(values) != 1:
            raise exceptions.ParseError(f"{name[:40]!r} is not taken here, or twice")
    text = request.query_params.get("kind", OptionKind.REGROOVE_IN_SHOP)
    cuts = [str(kind) for kind in OptionKind if kind.is_cut]
    if text not in cuts:
        raise exceptions.ParseError(f"kind is one of {', '.join(cuts)}")
    return OptionKind(text)


def _numbers(request: Request, **taken: tuple[int, int, int]) -> Mapping[str, int]:
    """Return whole numbers of the query: (default, least, most) each.

    Raises ParseError for anything else, and for names that are not taken.
    """
    found = {name: default for name, (default, _, _) in taken.items()}
    for name, values in request.query_params.lists():
        if name not in taken or len(values) != 1:
            raise exceptions.ParseError(
                f"{name[:40]!r} is not taken here, or twice; there are "
                f"{', '.join(taken)}"
            )
        _, least, most = taken[name]
        text = values[0]
        if not (text.isascii() and text.isdigit() and len(text) < 20) or not (
            least <= int(text) <= most
        ):
            raise exceptions.ParseError(
                f"{name} is a whole number from {least:,} to {most:,}"
            )
        found[name] = int(text)
    return found
