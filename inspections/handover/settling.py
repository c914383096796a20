"""Rows of another house settled in this one, each with its origin."""

import hashlib
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from fleet.models import Building, Machine
from fleet.platform import printing, scanning
from fleet.platform.database.tenancy import Scope
from fleet.register import quotas
from inspections import photos
from inspections.handover import tables
from inspections.handover.tables import HandedTable
from inspections.handover.unpacking import NotAHandOver, OpenedFile
from inspections.kinds import KINDS
from inspections.models import (
    Gauge,
    HandedRow,
    HandOver,
    Reading,
    StopPlace,
    Upload,
    Visit,
)
from inspections.photos import cleaning
from inspections.stops.claims import Claim

_LONGEST_REFERENCE = 64


class House:
    """Rows of another house on their way into this one; knows which became which."""

    def __init__(
        self, *, scope: Scope, found: OpenedFile, now: datetime, stored: list[str]
    ) -> None:
        self.scope = scope
        self.found = found
        self.now = now
        self.stored = stored
        # Table -> id there -> row here.
        self.here: dict[str, dict[int, Any]] = {}
        self.names: dict[tuple[str, int], str] = {}
        self.machine: Machine | None = None
        self.photo_bytes = 0

    def settle(self, *, building: Building, code: str) -> Machine:
        """Store everything but the stops; return the machine."""
        for table in tables.TABLES:
            more: dict[str, Any] = {}
            if table.model is Machine:
                more = {"building": building, "code": code}
            elif table.model is Reading:
                more = {"upload": self._upload()}
            self._store(table, more)
        # Those that are stored by now are among the bytes that are kept.
        if quotas.limit_of(scope=self.scope, quota="photo_bytes") is not None:
            kept = photos.bytes_kept(scope=self.scope) - self.photo_bytes
            quotas.check(
                scope=self.scope,
                quota="photo_bytes",
                used=kept,
                more=self.photo_bytes,
            )
        machine: Machine = self.machine  # type: ignore[assignment]
        return machine

    def mark(self, hand_over: HandOver) -> None:
        """Write down beside each row where it came from."""
        HandedRow.objects.bulk_create(
            (
                HandedRow(
                    contractor_id=self.scope.contractor_id,
                    hand_over=hand_over,
                    table=name,
                    row_id=row.pk,
                    origin_id=origin,
                    origin_reference=self.names.get((name, origin), ""),
                )
                for name, rows in self.here.items()
                for origin, row in rows.items()
            ),
            batch_size=1000,
        )

    def claims(self) -> Sequence[Claim]:
        """Return what the other house's open stops ask for here."""
        return [self._claim(row) for row in self.found.rows[tables.STOPS.name]]

    def _claim(self, row: dict[str, Any]) -> Claim:
        stop = self._made(tables.STOPS, row, {})
        stop.clean_fields(exclude=["contractor", "machine", "groove", "rope"])
        readings = self.here["readings"]
        # A key names its part by a number of the other house.
        head, mark, _ = stop.place_key.rpartition(":")
        own = {
            StopPlace.GROOVE: stop.groove_id,
            StopPlace.ROPE: stop.rope_id,
        }.get(stop.place_kind)
        key = stop.place_key if own is None else f"{head}{mark}{own}"
        return Claim(
            machine_id=self.machine.pk if self.machine else 0,
            cause=stop.cause,
            place_kind=stop.place_kind,
            place_key=key,
            place=stop.place,
            groove_id=stop.groove_id,
            rope_id=stop.rope_id,
            basis=stop.basis,
            since=stop.since,
            readings=tuple(
                sorted(readings[pk].pk for pk in stop.readings if pk in readings)
            ),
            criteria_set=stop.criteria_set,
            kernel_version=stop.kernel_version,
            value=stop.value,
            limit=stop.limit,
            unit=stop.unit,
            margin_ratio=stop.margin_ratio,
        )

    def _store(self, table: HandedTable, more: dict[str, Any]) -> None:
        here = self.here.setdefault(table.name, {})
        left = list(self.found.rows[table.name])
        while left:
            # A correction is stored after what it corrects: neither is changed later.
            ready = [row for row in left if self._is_ready(table, row)]
            if not ready:
                raise NotAHandOver(f"rows of {table.name} form a ring")
            instances = [self._made(table, row, more) for row in ready]
            for instance in instances:
                self._check(table, instance)
            table.model.objects.bulk_create(instances, batch_size=500)
            done = [row["id"] for row in ready]
            here.update(zip(done, instances, strict=True))
            left = [row for row in left if row["id"] not in done]
        if len(here) != len(self.found.rows[table.name]):
            raise NotAHandOver(f"{table.name} names a row twice")
        if table.model is Machine:
            [self.machine] = here.values()

    def _is_ready(self, table: HandedTable, row: dict[str, Any]) -> bool:
        return all(
            row[name] is None or row[name] in self.here.get(of, {})
            for name, of in table.refers.items()
            if of == table.name
        )

    def _made(
        self, table: HandedTable, row: dict[str, Any], more: dict[str, Any]
    ) -> Any:
        printing.check(row, at=f"/{table.name}")
        values = {each.name: each.to_python(row[each.name]) for each in table.fields}
        for name, of in table.refers.items():
            values[name] = None if row[name] is None else self.here[of][row[name]]
        columns = {each.name for each in table.model._meta.concrete_fields}
        if "machine" in columns:
            values["machine"] = self.machine
        if "membership_id" in columns:
            values["membership_id"] = self.scope.membership_id
        made = table.model(contractor_id=self.scope.contractor_id, **values, **more)
        self._rename(table, made, row["id"])
        if table.name == "photos":
            self._keep_photo(made, self.found.photo(row["id"]))
        return made

    def _check(self, table: HandedTable, made: Any) -> None:
        columns = table.model._meta.concrete_fields
        references = [each.name for each in columns if each.is_relation]
        # Texts that may be empty there are so here too.
        made.clean_fields(exclude=["contractor", *references])
        if isinstance(made, Reading) and made.kind not in KINDS:
            raise NotAHandOver(f"the kind of reading {made.kind!r} is not known here")

    def _rename(self, table: HandedTable, made: Any, origin: int) -> None:
        """Keep names that this house has given already; note what each was called."""
        if table.model in (Visit, Reading):
            self.names[table.name, origin] = made.reference
            rows = table.model.objects.within(self.scope)
            if rows.filter(reference=made.reference).exists():
                mark = self.found.number.hex[:8]
                made.reference = f"{mark}-{made.reference}"[:_LONGEST_REFERENCE]
        elif table.model is Gauge:
            self.names[table.name, origin] = made.code
            made.code = f"{made.code[:41]}-{self.found.number.hex[:8]}"
            # It stayed in the other house: nothing new is read with it here.
            made.retired_on = made.retired_on or self.now.date()

    def _keep_photo(self, made: Any, content: bytes) -> None:
        scanning.check(content)
        clean = photos.clean(content)
        digest = hashlib.sha256(clean.content).hexdigest()
        suffix = cleaning.SUFFIXES[clean.format]
        name = f"photos/{self.scope.contractor_id}/{made.visit.pk}/{digest}.{suffix}"
        self.photo_bytes += len(clean.content)
        made.file = default_storage.save(name, ContentFile(clean.content))
        self.stored.append(made.file)
        made.media_type = cleaning.MEDIA_TYPES[clean.format]
        made.size_bytes, made.sha256 = len(clean.content), digest
        made.sent_sha256 = hashlib.sha256(content).hexdigest()

    def _upload(self) -> Upload:
        found: Upload = Upload.objects.create(
            contractor_id=self.scope.contractor_id,
            membership_id=self.scope.membership_id or 0,
            fingerprint=hashlib.sha256(self.found.number.bytes).hexdigest(),
            received_at=self.now,
        )
        return found
