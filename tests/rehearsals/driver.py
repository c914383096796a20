"""A process of its own: a technician's device that sends until it is told to stop.

`python -m tests.rehearsals.driver drive ADDRESS KEY LEDGER PREFIX`. It stops when the
file LEDGER.stop is there. What is not acknowledged is sent again, the same bytes.
"""

import itertools
import json
import sys
import time
import urllib.error
import urllib.request
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

from tests.rehearsals import ledger, phones

FIRST = datetime(2026, 5, 4, 9, tzinfo=UTC)
ROPES = 5
PAUSE_S = 0.1
PATIENCE_S = 20


def body(prefix: str, number: int) -> dict:
    """Return one upload: a visit with a diameter of each rope."""
    visit = f"{prefix}-{number}"
    return {
        "visits": [
            {
                "reference": visit,
                "machine": "MH-1",
                "visited_at": (FIRST + timedelta(minutes=number)).isoformat(),
                "readings": [
                    {
                        "reference": f"{visit}-{rope}",
                        "kind": "rope_diameter",
                        "rope": rope,
                        "place": {"station": "car side", "direction": "1"},
                        "value": "12.9",
                        "unit": "mm",
                    }
                    for rope in range(1, ROPES + 1)
                ],
            }
        ]
    }


def send(address: str, key: str, content: dict) -> bool:
    """Send one upload; return whether it was acknowledged as stored, all of it."""
    request = urllib.request.Request(
        f"{address}/api/v1/uploads",
        data=json.dumps(content).encode(),
        headers={
            **phones.headers(key, address=address),
            "Content-Type": "application/json",
            "Idempotency-Key": content["visits"][0]["reference"],
        },
    )
    try:
        with urllib.request.urlopen(request, timeout=PATIENCE_S) as answer:
            outcomes = json.load(answer)["readings"]
    except urllib.error.HTTPError as error:
        with error:
            # What stays refused would be sent for ever: say why, and end.
            if error.code < 500 and error.code not in (409, 429):
                raise SystemExit(f"{error.code}: {error.read()[:500]!r}") from error
        return False
    except (OSError, ValueError, EOFError):
        return False
    refused = [o for o in outcomes if o["outcome"] not in ("stored", "already-stored")]
    if refused:
        raise SystemExit(f"not stored: {refused[:2]}")
    return True


def drive(*, address: str, key: str, notes: Path, prefix: str) -> None:
    """Send until the stop is there; the last upload is acknowledged before it ends."""
    stop = notes.with_suffix(".stop")
    for number in itertools.count(1):
        if stop.exists():
            return
        content = body(prefix, number)
        line = ledger.Line(
            references=[r["reference"] for r in content["visits"][0]["readings"]],
            sent_at=_now(),
        )
        ledger.write(notes, line)
        while not send(address, key, content):
            if stop.exists():
                return
            time.sleep(PAUSE_S)
        ledger.write(notes, replace(line, told_at=_now()))
        time.sleep(PAUSE_S)


def send_again(*, address: str, key: str, notes: Path, prefix: str) -> None:
    """Send all that was sent before, told of or not, until it is acknowledged."""
    for number, line in enumerate(list(ledger.read(notes)), start=1):
        while not send(address, key, body(prefix, number)):
            time.sleep(PAUSE_S)
        ledger.write(notes, replace(line, told_at=_now()))


def _now() -> str:
    return datetime.now(UTC).isoformat()


if __name__ == "__main__":
    what, where, secret, path, name = sys.argv[1:]
    act = {"drive": drive, "again": send_again}[what]
    act(address=where, key=secret, notes=Path(path), prefix=name)
