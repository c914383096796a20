"""The compose file's own services as plain processes, with their settings."""

import json
import os
import re
import signal
import subprocess
import sys
import urllib.error
import urllib.request
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from tests.services import programs

ROOT = Path(__file__).resolve().parents[2]
# ${NAME}, ${NAME:-default} and ${NAME:?why it is needed}.
_VARIABLE = re.compile(r"\$\{(\w+)(?::([-?])([^}]*))?\}")


@dataclass(slots=True, kw_only=True)
class Composition:
    """What docker-compose.yml says, with folders and the port of this machine."""

    folder: Path
    secrets: Mapping[str, str]
    variables: Mapping[str, str]
    port: int = field(default_factory=programs.free_port)
    services: dict[str, Any] = field(init=False)

    def __post_init__(self) -> None:
        said = yaml.safe_load((ROOT / "docker-compose.yml").read_text())
        self.services = said["services"]
        kept = self.folder / "secrets"
        kept.mkdir()
        for name in said["secrets"]:
            if name in self.secrets:
                (kept / name).write_text(f"{self.secrets[name]}\n")

    def command(self, service: str) -> list[str]:
        """Return a service's command, the image's own where it names none."""
        given = self.services[service].get("command") or _image_command()
        return [self._here(part, service) for part in given]

    def environment(self, service: str) -> dict[str, str]:
        """Return a service's environment; nothing of this process but the path."""
        given = self.services[service]["environment"]
        return {
            "PATH": f"{Path(sys.executable).parent}:/usr/bin:/bin",
            # Set by the image.
            "DJANGO_SETTINGS_MODULE": "fleet.project.settings",
            **{name: self._here(str(value), service) for name, value in given.items()},
        }

    def _here(self, text: str, service: str) -> str:
        """Return a text of the file with this machine's folders and port."""
        text = _VARIABLE.sub(self._value, text)
        for there, here in (
            # Each container has a /tmp of its own.
            ("/tmp/", f"{self.folder}/{service}-"),
            ("/run/secrets", f"{self.folder}/secrets"),
            ("/srv/media", f"{self.folder}/media"),
            ("0.0.0.0:8000", f"127.0.0.1:{self.port}"),
            ("127.0.0.1:8000", f"127.0.0.1:{self.port}"),
        ):
            text = text.replace(there, here)
        return text

    def _value(self, found: re.Match[str]) -> str:
        name, kind, rest = found.groups()
        if name in self.variables:
            return self.variables[name]
        if kind == "-":
            return rest
        raise KeyError(f"{name}: {rest}")

    def run(self, service: str, *command: str) -> str:
        """Run a service's command, or another one, to its end."""
        ended = subprocess.run(
            command or self.command(service),
            cwd=ROOT,
            env=self.environment(service),
            capture_output=True,
            text=True,
            check=False,
        )
        assert ended.returncode == 0, ended.stdout + ended.stderr
        return ended.stdout

    @contextmanager
    def running(self, service: str) -> Iterator[subprocess.Popen[bytes]]:
        """Run a service inside the block, and end it as an engine does."""
        with self.log(service).open("ab") as opened:
            running = subprocess.Popen(
                self.command(service),
                cwd=ROOT,
                env=self.environment(service),
                stdout=opened,
                stderr=opened,
                start_new_session=True,
            )
        try:
            yield running
        finally:
            os.killpg(running.pid, signal.SIGTERM)
            running.wait(timeout=programs.START_WITHIN_S)

    def log(self, service: str) -> Path:
        return self.folder / f"{service}.log"

    def looks_well(self, service: str) -> bool:
        """Run a service's own health check."""
        kind, *command = self.services[service]["healthcheck"]["test"]
        assert kind == "CMD"
        ended = subprocess.run(
            [self._here(part, service) for part in command],
            cwd=ROOT,
            env=self.environment(service),
            capture_output=True,
            check=False,
        )
        return ended.returncode == 0

    def ask(self, path: str, *, key: str = "", body: Any = None) -> tuple[int, Any]:
        """Call the web service as its proxy does; return status and body."""
        request = urllib.request.Request(
            f"http://127.0.0.1:{self.port}{path}",
            data=None if body is None else json.dumps(body).encode(),
            headers={
                "Authorization": f"Bearer {key}",
                "Content-Type": "application/json",
                "Host": "lifts.example",
                "X-Forwarded-Proto": "https",
            },
        )
        try:
            with urllib.request.urlopen(request, timeout=30) as answer:
                return answer.status, json.loads(answer.read())
        except urllib.error.HTTPError as error:
            with error:
                return error.code, json.loads(error.read())


def _image_command() -> list[str]:
    lines = (ROOT / ".docker" / "Dockerfile").read_text().splitlines()
    (command,) = [line for line in lines if line.startswith("CMD ")]
    return list(json.loads(command.removeprefix("CMD ")))
