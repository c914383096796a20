"""A small HTTP client, as a technician's device or an office program would have."""

import http.client
import json
import time
import urllib.error
import urllib.request
from dataclasses import dataclass
from typing import Any

from fleet.demo.problems import DemoStopped

TIMEOUT_S = 60.0
TRIES = 6
PAUSE_S = 1.0
AWAY = (502, 503, 504)
PAGE_SIZE = 200

# Never through a proxy of the environment: the server is on this machine.
_opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))


@dataclass(frozen=True, slots=True, kw_only=True)
class ServerAnswer:
    """What the server answered."""

    status: int
    body: bytes

    def json(self) -> Any:
        """Return the body as JSON."""
        return json.loads(self.body)


@dataclass(frozen=True, slots=True, kw_only=True)
class Client:
    """One person's way to the API; without a token nobody's."""

    address: str
    token: str = ""

    def get(self, path: str) -> Any:
        """Return the JSON under a path. Raises DemoStopped."""
        return self._ask(path, expected=(200,)).json()

    def download(self, path: str) -> bytes:
        """Return the bytes under a path. Raises DemoStopped."""
        return self._ask(path, expected=(200,)).body

    def list(self, path: str) -> list[dict[str, Any]]:
        """Return the rows of all pages of a list. Raises DemoStopped."""
        rows: list[dict[str, Any]] = []
        address = f"{path}?page_size={PAGE_SIZE}"
        while address:
            page = self.get(address)
            rows += page["results"]
            address = (page["next"] or "").removeprefix(self.address)
        return rows

    def post(
        self, path: str, body: Any, *, expected: tuple[int, ...], key: str = ""
    ) -> Any:
        """Send JSON and return the JSON answered. Raises DemoStopped."""
        headers = {"Idempotency-Key": f'"{key}"'} if key else {}
        return self._ask(path, expected=expected, body=body, headers=headers).json()

    def change(self, path: str, body: Any) -> Any:
        """Change what stands under a path, whatever its version. Raises DemoStopped."""
        return self._ask(
            path,
            expected=(200,),
            body=body,
            headers={"If-Match": "*"},
            method="PATCH",
        ).json()

    def _ask(
        self,
        path: str,
        *,
        expected: tuple[int, ...],
        body: Any = None,
        headers: dict[str, str] | None = None,
        method: str | None = None,
    ) -> ServerAnswer:
        for _ in range(TRIES):
            answer = self.ask(path, body=body, headers=headers, method=method)
            if answer is not None and answer.status in expected:
                return answer
            if answer is not None and answer.status not in AWAY:
                break
            time.sleep(PAUSE_S)
        named = method or ("GET" if body is None else "POST")
        raise DemoStopped(f"{named} {self.address}{path} {_in_words(answer)}")

    def ask(
        self,
        path: str,
        *,
        body: Any = None,
        headers: dict[str, str] | None = None,
        method: str | None = None,
    ) -> ServerAnswer | None:
        """Return one answer, whatever it says; None if there is none."""
        request = urllib.request.Request(
            f"{self.address}{path}",
            data=None if body is None else json.dumps(body).encode(),
            method=method,
            headers={
                "Accept": "*/*",
                **({} if body is None else {"Content-Type": "application/json"}),
                **({"Authorization": f"Bearer {self.token}"} if self.token else {}),
                **(headers or {}),
            },
        )
        try:
            with _opener.open(request, timeout=TIMEOUT_S) as response:
                return ServerAnswer(status=response.status, body=response.read())
        except urllib.error.HTTPError as error:
            with error:
                return ServerAnswer(status=error.code, body=error.read())
        except (http.client.HTTPException, OSError):
            return None


def _in_words(answer: ServerAnswer | None) -> str:
    if answer is None:
        return "was not answered."
    return f"was answered with {answer.status}: {answer.body[:500].decode()!r}"
