"""What asks for a stop: readings as they come in, and findings of an assessment."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from inspections.kinds import KINDS, Subject
from inspections.models import Finding, Reading, StopBasis, StopCause, StopPlace
from inspections.stops import causes

WHOLE = "machine"


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim:
    """One cause at one place, and what says so."""

    machine_id: int
    cause: StopCause
    place_kind: StopPlace
    place_key: str
    place: str = ""
    groove_id: int | None = None
    rope_id: int | None = None
    basis: StopBasis
    since: datetime
    readings: tuple[int, ...] = ()
    finding_id: int | None = None
    upload_id: int | None = None
    criteria_set: str = ""
    kernel_version: str = ""
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    margin_ratio: float | None = None

    @property
    def key(self) -> tuple[int, str, str]:
        """What tells it apart: one stop for each."""
        return (self.machine_id, str(self.cause), self.place_key)


def of_reading(row: Reading, *, upload_id: int | None) -> Claim:
    """Return the claim of a reading that stops its machine by itself."""
    part = str(row.place.get("part", ""))
    kind = KINDS[row.kind]
    limit = kind.stops_at_or_below
    ratio = None if limit is None or row.value is None else row.value - limit
    return Claim(
        machine_id=row.machine_id,
        cause=causes.of_reading(kind=row.kind, part=part),
        **_place(  # type: ignore[arg-type]
            groove_id=row.groove_id,
            rope_id=row.rope_id,
            words=_words(row, kind.subject) or part,
        ),
        basis=StopBasis.OBSERVED,
        since=row.taken_at,
        readings=(row.pk,),
        upload_id=upload_id,
        value=row.value,
        limit=limit,
        margin_ratio=ratio,
    )


def of_finding(row: Finding) -> Claim:
    """Return the claim of a finding that takes its machine out of service."""
    test = row.detail.get("field_test")
    cause = causes.of_finding(
        topic=row.topic,
        place=row.place,
        on_rope=row.rope_id is not None,
        test_failed=isinstance(test, dict) and test.get("passed") is False,
    )
    is_whole = cause in (
        StopCause.ROPE_SLIP,
        StopCause.BRAKE_SLIDES,
        StopCause.SLIP_TEST_FAILED,
    )
    where = _place(
        groove_id=None if is_whole else row.groove_id,
        rope_id=None if is_whole else row.rope_id,
        words="" if is_whole else row.place,
    )
    if cause is StopCause.OTHER:
        where["place_key"] = f"{row.topic}:{where['place_key']}"
    seen = row.topic in causes.SEEN_TOPICS or cause is StopCause.SLIP_TEST_FAILED
    return Claim(
        machine_id=row.machine_id,
        cause=cause,
        **where,  # type: ignore[arg-type]
        basis=StopBasis.OBSERVED if seen else StopBasis.WORKED_OUT,
        since=row.assessment.as_of,
        readings=tuple(row.readings),
        finding_id=row.pk,
        criteria_set=row.assessment.criteria_set,
        kernel_version=row.assessment.kernel_version,
        value=row.value,
        limit=row.limit,
        unit=row.unit,
        margin_ratio=ratio_of(margin=row.margin, limit=row.limit),
    )


def ratio_of(*, margin: float | None, limit: float | None) -> float | None:
    """Return a margin in shares of its limit; as it is where the limit is zero."""
    if margin is None:
        return None
    return margin / abs(limit) if limit else margin


def merged(claims: Iterable[Claim]) -> Sequence[Claim]:
    """Return one claim for each cause and place: the worst, with all readings."""
    found: dict[tuple[int, str, str], Claim] = {}
    for claim in claims:
        other = found.get(claim.key)
        if other is None:
            found[claim.key] = claim
            continue
        worse = claim if _is_worse(claim, other) else other
        is_seen = StopBasis.OBSERVED in (claim.basis, other.basis)
        found[claim.key] = replace(
            worse,
            basis=StopBasis.OBSERVED if is_seen else StopBasis.WORKED_OUT,
            since=min(claim.since, other.since),
            readings=tuple(sorted({*claim.readings, *other.readings})),
        )
    # In one order, so that two who raise at once wait for each other and not both.
    return [found[key] for key in sorted(found)]


def _is_worse(claim: Claim, other: Claim) -> bool:
    if claim.margin_ratio is None or other.margin_ratio is None:
        return other.margin_ratio is None and claim.margin_ratio is not None
    return claim.margin_ratio < other.margin_ratio


def _words(row: Reading, subject: Subject) -> str:
    """Return the groove or rope that a kind is read on, by its number."""
    if subject is Subject.GROOVE and row.groove is not None:
        return f"groove {row.groove.number}"
    if subject is Subject.ROPE and row.rope is not None:
        return f"rope {row.rope.number}"
    return ""


def _place(
    *, groove_id: int | None, rope_id: int | None, words: str
) -> dict[str, object]:
    """Return the fields that say where."""
    if groove_id is not None:
        kind, key = StopPlace.GROOVE, f"groove:{groove_id}"
    elif rope_id is not None:
        kind, key = StopPlace.ROPE, f"rope:{rope_id}"
    elif words:
        kind, key = StopPlace.PART, words
    else:
        kind, key = StopPlace.MACHINE, WHOLE
    return {
        "place_kind": kind,
        "place_key": key,
        "place": words,
        "groove_id": groove_id,
        "rope_id": rope_id if groove_id is None else None,
    }
