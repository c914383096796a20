"""A paired phone at the doors of a real service: paired by a code, known by a cookie.

Its key is written "phone ID NAME=VALUE", so that it goes where a token goes.
"""

import json
import sys
import urllib.request
from pathlib import Path
from typing import Any

from tests.rehearsals import ledger

MARK = "phone"
AT_ONCE = 2000
SHOW = """
import django; django.setup()
from django.utils import timezone
from fleet.models import Membership
from fleet.platform.access import pairing
member = Membership.objects.get(role="TECHNICIAN")
shown = pairing.show_code(
    membership=member, made_by=member.pk, with_factor=False, at=timezone.now()
)
print(shown.code)
"""


def headers(key: str, *, address: str) -> dict[str, str]:
    """Return what tells the server who sends: a token, or a phone on its own page."""
    mark, _, rest = key.partition(" ")
    if mark != MARK:
        return {"Authorization": f"Bearer {key}"}
    number, _, cookie = rest.partition(" ")
    return {
        "Cookie": cookie,
        "Ropeseat-Phone": number,
        "Origin": address,
        "Sec-Fetch-Site": "same-origin",
    }


def paired(service: Any) -> str:
    """Pair a phone with the technician, through the door; return its key."""
    code = service.run(sys.executable, "-c", SHOW).strip()
    request = _asked(service.address, "pairing", {"code": code, "device": "rehearsed"})
    request.add_header("Origin", service.address)
    with urllib.request.urlopen(request, timeout=60) as answer:
        cookie = answer.headers["Set-Cookie"].partition(";")[0]
        return f"{MARK} {json.load(answer)['phone']} {cookie}"


def wanted(service: Any, notes: Path) -> int:
    """Offer all that was acknowledged; return how much of it the server asks for."""
    told = [r for line in ledger.read(notes) if line.told for r in line.references]
    found = 0
    for first in range(0, len(told), AT_ONCE):
        offered = told[first : first + AT_ONCE]
        body = {"app": "rehearsed", "unsent": 0, "kept": offered}
        request = _asked(service.address, "contact", body)
        key = service.keys["TECHNICIAN"]
        for name, value in headers(key, address=service.address).items():
            request.add_header(name, value)
        with urllib.request.urlopen(request, timeout=60) as answer:
            found += len(json.load(answer)["wanted"])
    return found


def _asked(address: str, door: str, body: dict[str, Any]) -> urllib.request.Request:
    return urllib.request.Request(
        f"{address}/api/v1/field/{door}",
        data=json.dumps(body).encode(),
        headers={"Content-Type": "application/json"},
    )
