"""docs/api.md, typed as it stands against a real server, and its answers compared."""

import json
import re
import subprocess
from datetime import datetime
from pathlib import Path

import pytest

from tests import database
from tests.fleet.embedded.conftest import reachable_folder
from tests.fleet.installation import ROOT, Installation, wait_until
from tests.inspections.api.test_photos import picture

pytestmark = pytest.mark.processes

BLOCK = re.compile(r"^```(sh|json)\n(.*?)^```", re.MULTILINE | re.DOTALL)
# Numbers that depend on what was stored before.
ONE_RUNS_OWN = {"id", "visit", "machine", "upload", "building", "rope_set", "sheave"}
REGISTER = """
import django, json
django.setup()
from django.utils import timezone
from fleet.platform.access import tokens
from fleet.demo import register
portfolio = json.load(open("fixtures/demo/portfolio.json"))
contractor = register.register(portfolio=portfolio)
# As a second one of the office would have done.
contractor.memberships.filter(role="OFFICE").update(
    qualification="rope inspection", competent_until="2999-12-31")
print(json.dumps({
    one.role: tokens.issue(
        membership=one, device="telephone", scopes=register.SCOPES[one.role],
        issued_at=timezone.now())
    for one in contractor.memberships.all()}))
"""


@pytest.fixture
def installation(django_db_setup):
    with reachable_folder() as folder:
        made = Installation(folder=folder)
        try:
            made.install(register=REGISTER, start_migrated=database.start_migrated)
            with made.web(), made.worker():
                yield made
        finally:
            made.database.stop()
            made.broker.stop()


def is_moment(text: str) -> bool:
    try:
        datetime.fromisoformat(text)
    except ValueError:
        return False
    return "T" in text


def differences(told, found, where="$"):
    """Yield where an answer lacks or contradicts what the page tells of it."""
    match told, found:
        case str(), str() if told.endswith("..."):
            if not found.startswith(told.removesuffix("...")):
                yield f"{where}: {found!r} does not begin like {told!r}"
        case str(), str() if is_moment(told) and is_moment(found):
            return
        case dict(), dict():
            for key, value in told.items():
                if key in ONE_RUNS_OWN and isinstance(value, int):
                    if not isinstance(found.get(key), int):
                        yield f"{where}.{key} is no number: {found.get(key)!r}"
                elif key not in found:
                    yield f"{where} has no {key!r}: {sorted(found)}"
                else:
                    yield from differences(value, found[key], f"{where}.{key}")
        case list(), list():
            for number, value in enumerate(told):
                each = [list(differences(value, one, where)) for one in found]
                if [] not in each:
                    closest = min(each, key=len, default=["nothing is in it"])
                    yield f"{where}[{number}]: {closest}"
        case _:
            if told != found:
                yield f"{where}: {found!r} is not {told!r}"


def test_a_contradiction_of_the_page_is_found():
    told = {"id": 1, "at": "2026-11-24T09:10:00Z", "all": [{"a": "b..."}]}
    same = {"id": 7, "at": "2026-11-25T09:10:00Z", "all": [1, {"a": "bc", "d": 2}]}

    assert list(differences(told, same)) == []
    for key, other in (("id", None), ("at", "soon"), ("all", [{"a": "cb"}])):
        assert list(differences(told, same | {key: other})), key
    assert list(differences(told, {}))


@pytest.mark.long
def test_every_command_of_the_page_gives_the_answer_printed_there(
    installation, tmp_path
):
    blocks = BLOCK.findall((ROOT / "docs/api.md").read_text(encoding="utf-8"))
    (tmp_path / "photo.png").write_bytes(picture(kind="PNG"))
    shell = Shell(installation=installation, folder=tmp_path)
    compared = 0

    for (language, content), (after, answer) in zip(
        blocks, [*blocks[1:], ("", "")], strict=True
    ):
        if language == "json":
            continue
        typed = shell.type(content)
        if after == "json":
            wrong = list(differences(json.loads(answer), json.loads(typed)))
            assert not wrong, f"{content}\n{typed[:1500]}\n{wrong}"
            compared += 1

    assert compared > 8


class Shell:
    """A shell that keeps its variables from one block of the page to the next."""

    def __init__(self, *, installation: Installation, folder: Path) -> None:
        self.installation = installation
        self.folder = folder
        keys = installation.keys
        self.variables = (
            f"AT={installation.address}\nTECHNICIAN={keys['TECHNICIAN']}\n"
            f"OFFICE={keys['OFFICE']}\nREADER={keys['OWNER_READER']}\n"
        )

    def type(self, block: str) -> str:
        """Return what a block printed, once the workers have nothing left to do."""
        wait_until(self._is_quiet)
        kept = self.folder / "variables"
        ended = subprocess.run(
            ["bash", "-euc", f"{self.variables}\n{block}\nset >{kept}"],
            cwd=self.folder,
            capture_output=True,
            text=True,
            check=False,
        )
        assert ended.returncode == 0, f"{block}\n{ended.stderr}"
        for name, value in re.findall(
            r"^([A-Z]+)=(\d+)$", kept.read_text(), re.MULTILINE
        ):
            if f"{name}=$(" in block:
                self.variables += f"{name}={value}\n"
        return ended.stdout

    def _is_quiet(self) -> bool:
        pending = "SELECT count(*) FROM fleet_job WHERE state IN ('QUEUED', 'RUNNING')"
        return self.installation.query(f"{pending} AND due_at <= now()") == [(0,)]
