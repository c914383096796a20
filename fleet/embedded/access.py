"""Who may connect: users of this machine, told apart by the kernel, no passwords."""

from pathlib import Path

from fleet.embedded.account import Account
from fleet.embedded.addresses import ADMIN, ROLE_NAMES

HBA = "pg_hba.conf"
IDENT = "pg_ident.conf"
MAP = "ropeseat"
READABLE_BY_ALL = 0o644  # the folder around them is closed


def write(*, config: Path, runner: Account, invoker: Account) -> None:
    """Write pg_hba.conf and pg_ident.conf for the server to read.

    The invoking user may act as every role, the user that runs the server as the
    administrator. Anybody else, and every connection that does not come through
    the socket, finds no line and is refused.
    """
    (config / HBA).write_text(
        f"local all all peer map={MAP}\nlocal replication {ADMIN} peer map={MAP}\n"
    )
    (config / IDENT).write_text(_identities(runner, invoker))
    for name in (HBA, IDENT):
        (config / name).chmod(READABLE_BY_ALL)


def _identities(runner: Account, invoker: Account) -> str:
    pairs = [(invoker.name, role) for role in ROLE_NAMES.values()]
    if runner.name != invoker.name:
        pairs.append((runner.name, ADMIN))
    # Between quotes a name is a name: no pattern, no group, no list.
    return "".join(f'{MAP} "{user}" "{role}"\n' for user, role in pairs)
