"""A server that answers a phone as it is told to, and counts what it was given."""

import hashlib
import itertools
import json
import threading
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from ipaddress import IPv4Address
from pathlib import Path
from typing import Any

from django.contrib.auth.models import AnonymousUser
from django.test import RequestFactory
from django.utils import translation

from inspections.pages import field as field_pages
from tests.browser.field.sample import SHARED

STATIC = Path(__file__).parents[3] / "inspections/static/field"
ICON = Path(__file__).parents[3] / "fleet/static/ropeseat/icon.svg"
FIRST_HOST, TURNS = IPv4Address("127.1.0.1"), itertools.count()
TYPES = {
    ".js": "text/javascript",
    ".css": "text/css",
    ".json": "application/json",
    ".svg": "image/svg+xml",
}
MODULES = ("store", "room", "clock", "kept", "server", "outbox", "numbers", "bands")
# A page with nothing on it: the modules are called by the test.
BARE = "<!doctype html><title>bare</title><script type=module>{}</script>".format(
    "".join(f"import * as {n} from '/static/field/{n}.js';" for n in MODULES)
    + f"window.field = {{{', '.join(MODULES)}}};"
)
PAGES = {
    "/field/": field_pages.shell,
    "/field/worker.js": field_pages.worker,
    "/field/manifest.webmanifest": field_pages.manifest,
}
PAIRED: dict[str, Any] = {
    "phone": 7,
    "device": "phone 1",
    "person": {"id": 3, "name": "Tom Reed"},
    "contractor": {"code": "north", "name": "North Lifts"},
    "language": "en",
    "unit_family": "METRIC",
    "horizon_days": 14,
}


@dataclass
class Stub:
    """What a server keeps, and how it misbehaves next."""

    readings: dict[str, dict[str, Any]] = field(default_factory=dict)
    answers: dict[str, Any] = field(default_factory=dict)
    uploads: list[dict[str, Any]] = field(default_factory=list)
    contacts: list[dict[str, Any]] = field(default_factory=list)
    photos: list[bytes] = field(default_factory=list)
    works: list[dict[str, Any]] = field(default_factory=list)
    pairs: dict[str, Any] = field(default_factory=lambda: dict(PAIRED))
    packs: list[dict[str, Any]] = field(default_factory=list)
    outcomes: dict[str, dict[str, Any]] = field(default_factory=dict)
    # Each is used once: "lost" stores and says nothing, a number is a status.
    faults: list[Any] = field(default_factory=list)
    behind_s: int = 0
    told: str = ""
    told_code: str = ""
    # Of the packs, and what an upload is answered that is of another version.
    version: int = 1
    absent: list[dict[str, Any]] = field(default_factory=list)
    strange: dict[str, Any] | None = None
    kept_photos: set[tuple[str, str]] = field(default_factory=set)
    address: str = ""

    def upload(self, key: str, digest: str, body: bytes) -> dict[str, Any]:
        """Store what is new, and give the same answer to the same key."""
        sent = json.loads(body)
        self.uploads.append({"key": key, "digest": digest, "body": body})
        if key in self.answers:
            return dict(self.answers[key])
        found = [self._one(r) for visit in sent["visits"] for r in visit["readings"]]
        visits = [
            {"reference": v["reference"], "outcome": "stored", "id": 50 + n}
            for n, v in enumerate(sent["visits"])
        ]
        told = {"told": self.told} if self.told else {}
        if self.told_code:
            told |= {"told_code": self.told_code, "told_people": 2}
        self.answers[key] = {"readings": found, "visits": visits, **told}
        return dict(self.answers[key])

    def _one(self, reading: dict[str, Any]) -> dict[str, Any]:
        reference = reading["reference"]
        told = self.outcomes.get(reading["value"])
        if told is not None:
            return {"reference": reference, **told}
        before = self.readings.setdefault(reference, reading)
        outcome = "stored" if before is reading else "already-stored"
        return {"reference": reference, "outcome": outcome}

    def work(self, sent: dict[str, Any]) -> dict[str, Any]:
        """Take work as done, with its readings."""
        self.works.append(sent)
        left = sent["as_left"]
        found = [self._one(reading) for reading in left["readings"]]
        visits = [{"reference": left["reference"], "outcome": "stored", "id": 99}]
        return {"works": [], "as_left": {"readings": found, "visits": visits}}

    def now(self) -> str:
        return (datetime.now(UTC) + timedelta(seconds=self.behind_s)).isoformat()


class _Handler(BaseHTTPRequestHandler):
    protocol_version = "HTTP/1.1"
    stub: Stub

    def log_message(self, *_: object) -> None:
        """Say nothing on the terminal."""

    def do_GET(self) -> None:
        path = self.path.partition("?")[0]
        if path == "/bare":
            return self._send(200, BARE.encode(), "text/html")
        if path in PAGES:
            return self._page(path)
        if path == "/static/ropeseat/icon.svg":
            return self._send(200, ICON.read_bytes(), "image/svg+xml")
        if path.startswith("/static/field/"):
            return self._static(path.removeprefix("/static/field/"))
        if path == "/api/v1/field/machines":
            shown = [self._brief(pack) for pack in self.stub.packs]
            return self._json(200, {"results": shown})
        return self._send(404, b"", "text/plain")

    def _page(self, path: str) -> None:
        """Answer as the service does, under its policy of contents."""
        request = RequestFactory().get(path)
        request.user = AnonymousUser()
        own = self.headers.get("Accept-Language", "")
        with translation.override("de" if own.startswith("de") else "en"):
            found = PAGES[path](request)
        self.send_response(200)
        for name, value in found.items():
            self.send_header(name, value)
        self.send_header("Content-Length", str(len(found.content)))
        self.end_headers()
        self.wfile.write(found.content)

    def _static(self, name: str) -> None:
        file = STATIC / name
        if not file.is_file():
            return self._send(404, b"", "text/plain")
        kind = TYPES.get(file.suffix, "application/octet-stream")
        return self._send(200, file.read_bytes(), kind)

    @staticmethod
    def _brief(pack: dict[str, Any]) -> dict[str, Any]:
        return {key: pack[key] for key in ("id", "code", "name", "building")}

    def do_POST(self) -> None:
        body = self.rfile.read(int(self.headers.get("Content-Length", 0)))
        fault = self.stub.faults.pop(0) if self.stub.faults else None
        if isinstance(fault, tuple):
            return self._json(fault[0], {"code": fault[1], "detail": fault[1]})
        path = self.path.partition("?")[0]
        found = self._answer(path, body)
        if fault == "lost":
            # Begun, so that the browser does not send it again by itself.
            self.wfile.write(b"HTTP/1.1 200 OK\r\nContent-Length: 500\r\n\r\n{")
            self.close_connection = True
            return None
        return self._json(*found)

    def _answer(self, path: str, body: bytes) -> tuple[int, Any]:
        if path == "/api/v1/uploads":
            key = self.headers["Idempotency-Key"]
            digest = self.headers["Content-Digest"]
            if self.stub.strange is not None:
                return 207, self.stub.strange
            return 207, self.stub.upload(key, digest, body)
        if path == "/api/v1/field/contact":
            sent = json.loads(body)
            self.stub.contacts.append(sent)
            wanted = [r for r in sent["kept"] if r not in self.stub.readings]
            return 200, {
                "server_time": self.stub.now(),
                "horizon_days": 14,
                "wanted": wanted,
                "wanted_photos": [
                    each
                    for each in sent.get("photos", [])
                    if (each["visit"], each["sha256"]) not in self.stub.kept_photos
                ],
            }
        if path == "/api/v1/field/pairing":
            return 201, {**self.stub.pairs, "server_time": self.stub.now()}
        if path == "/api/v1/field/packs":
            asked = json.loads(body)["machines"]
            packs = [pack for pack in self.stub.packs if pack["id"] in asked]
            now = self.stub.now()
            head = {
                "made_at": now,
                "server_time": now,
                "version": self.stub.version,
                **SHARED,
            }
            if self.stub.absent:
                head["absent"] = self.stub.absent
            return 200, {**head, "machines": packs}
        if path.endswith("/works"):
            return 201, self.stub.work(json.loads(body))
        if path.endswith("/photos"):
            self.stub.photos.append(body)
            [reference] = {
                visit["reference"]
                for each in self.stub.uploads
                for visit in json.loads(each["body"])["visits"]
            }
            found = hashlib.sha256(body).hexdigest()
            self.stub.kept_photos.add((reference, found))
            return 201, {"id": len(self.stub.photos)}
        return 404, {"code": "not-found"}

    def _json(self, status: int, body: Any) -> None:
        self._send(status, json.dumps(body).encode(), "application/json")

    def _send(self, status: int, body: bytes, kind: str) -> None:
        self.send_response(status)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(body)))
        self.send_header("Cache-Control", "no-cache")
        self.end_headers()
        self.wfile.write(body)


def serve(stub: Stub) -> ThreadingHTTPServer:
    """Serve in a thread until shut down; its address is written into the stub.

    It is this process's own: no browser has kept anything of it.
    """
    handler = type("Handler", (_Handler,), {"stub": stub})
    host = str(FIRST_HOST + next(TURNS))
    found = ThreadingHTTPServer((host, 0), handler)
    found.daemon_threads = True
    stub.address = f"http://{host}:{found.server_address[1]}"
    threading.Thread(target=found.serve_forever, daemon=True).start()
    return found
