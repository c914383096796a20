"""The matrix as a page: `python -m tests.access` writes docs/access.md."""

from collections.abc import Iterator
from pathlib import Path

from django.apps import apps

from fleet.platform.choices import TokenScope
from fleet.platform.visibility import EVERYONE, STAFF, Visibility, acts
from tests.access.doors import ANY
from tests.access.matrix import MATRIX, NO, Door

PAGE = Path(__file__).parents[2] / "docs" / "access.md"

_HEAD = """# Who sees what

Written by `python -m tests.access` from `tests/access/matrix.py`; nothing here is typed
by hand. `tests/access/test_matrix.py` finds every address of the service by itself,
fails for one that has no line, and tries each line: by key and by session, with one's
own row, another contractor's, one that is not there, retired ones and drafts. What is
out of reach is answered exactly as what is not there. Each file that goes out is
compared with its list, field by field (`tests/fleet/register/exchange/test_roles.py`).

The rule itself is said once, in `fleet/platform/visibility`: what can be done and by
whom (`acts`), and who sees a table and which of its fields (`tables`, beside each
model). The API, files, calendars and pages ask it through `asking`.

| word | what |
| --- | --- |
| all | every row of the contractor |
| own buildings | the rows of the reader's building owner |
| own entry | the rows of the person |
| issued | reports that went out; no draft, and no review of the portfolio |
| nothing | the door opens, and no row is behind it |
| yes, no | it is taken, or refused |
| with the secret | the address or key is itself the permission |

*Phone* is a paired phone, known by a cookie that opens these doors alone; a page that
opens to it is one that opens to anyone. *Keeper* is the server's administrator, a
superuser without a contractor. *Anyone* is someone who has not said who they are. A
technician whom the office has marked competent finds no other door open: what ends a
stop asks for competence itself. A key opens what its uses allow of this: one that only
uploads reads nothing.

Whoever is let go, and an owner's reader whose owner has a day of retirement, gets
nothing at any door from then on: no session, key, calendar or link of theirs is good
for anything.
"""


def written() -> str:
    """Return the page."""
    parts = [_HEAD, *_doors(), *_tables(), *_acts()]
    return "\n".join(parts)


def _doors() -> Iterator[str]:
    api = {at: door for at, door in MATRIX.items() if at[0] != ANY}
    yield "## Doors of the API\n"
    yield "| | address | office | technician | owner's reader | phone | anyone |"
    yield "| --- | --- | --- | --- | --- | --- | --- |"
    for (method, path), door in sorted(api.items(), key=_by_path):
        roles = ("OFFICE", "TECHNICIAN", "OWNER_READER")
        cells = [_cell(door, role) for role in roles]
        shown = _shown(path.removeprefix("api/v1"))
        cells += [door.phone, door.anyone]
        yield f"| {method} | {shown} | {' | '.join(cells)} |"
    yield "\nThe keeper is refused at each of these that is not open to anyone, but for"
    yield "the own second factor and password.\n"
    yield "## Pages\n"
    yield "| address | office | technician | owner's reader | keeper | anyone |"
    yield "| --- | --- | --- | --- | --- | --- |"
    pages = {at: door for at, door in MATRIX.items() if at[0] == ANY}
    for (_, path), door in sorted(pages.items(), key=_by_path):
        cells = (door.office, door.technician, door.reader, door.keeper, door.anyone)
        yield f"| {_shown('/' + path)} | {' | '.join(cells)} |"
    yield ""


def _cell(door: Door, role: str) -> str:
    how = ", by session" if role in door.not_by_key else ""
    return f"{door.cell(role)}{how}"


def _by_path(line: tuple[tuple[str, str], Door]) -> tuple[str, str]:
    (method, path), _ = line
    return path, method


def _shown(path: str) -> str:
    return f"`{path}`".replace("|", "\\|")


def _tables() -> Iterator[str]:
    yield "## Tables and fields\n"
    yield "What is not named here is seen by everyone who sees the row.\n"
    yield "| table | who sees it | for the office | for the staff | told in part |"
    yield "| --- | --- | --- | --- | --- |"
    for model in sorted(apps.get_models(), key=lambda each: each.__name__):
        rule: Visibility | None = getattr(model, "visibility", None)
        if rule is not None and rule != Visibility():
            office = [n for n, who in rule.only.items() if len(who) == 1]
            staff = [n for n, who in rule.only.items() if who == STAFF]
            cells = (office, staff, list(rule.reduced))
            named = " | ".join(", ".join(f"`{n}`" for n in cell) for cell in cells)
            yield f"| {model.__name__} | {_who(rule.roles)} | {named} |"
    yield ""


def _who(roles: frozenset[str]) -> str:
    if roles == EVERYONE:
        return "everyone"
    return "office and technicians" if roles == STAFF else "office"


def _acts() -> Iterator[str]:
    yield "## Acts, and what a key must be good for\n"
    yield "| act | office | technician | owner's reader |"
    yield "| --- | --- | --- | --- |"
    for act in acts.EVERY:
        keys = [act.keys.get(role, NO) for role in ("OFFICE", "TECHNICIAN")]
        keys.append(act.keys.get("OWNER_READER", NO))
        also = f" or {TokenScope.FIELD}" if act.by_phone else ""
        cells = [f"{key}{also if key != NO else ''}" for key in keys]
        yield f"| {act.words} | {' | '.join(cells)} |"
    yield ""
