"""Files of others, shown to a virus scanner before they are kept (ASVS 5.0, 5.4.3).

The scanner is the operator's, at FILE_SCANNER; it is spoken to by clamd's INSTREAM:
the file in pieces, each after its length in four bytes, and an empty one at the end.
Without one no file is scanned.
"""

import socket
from contextlib import closing
from urllib.parse import urlsplit

from django.conf import settings

from fleet.platform import security_log
from fleet.platform.errors import Away, Unprocessable

_PIECE = 65_536
_WAIT_S = 20
_LONGEST_ANSWER = 1000


class Malicious(Unprocessable):
    """The virus scanner knows this file as malicious; it is not kept."""

    code = "file-malicious"


class ScannerAway(Away):
    """The virus scanner does not answer; send the same again later."""

    code = "scanner-away"


def check(content: bytes) -> None:
    """Have a file scanned, where there is a scanner. Raises Malicious, ScannerAway."""
    if not settings.FILE_SCANNER:
        return
    try:
        said = _asked(settings.FILE_SCANNER, content)
    except OSError as error:
        security_log.tell("scanner-away", grave=True)
        raise ScannerAway from error
    if said.endswith("FOUND"):
        security_log.tell("file-malicious", grave=True)
        raise Malicious
    # "ERROR" and whatever else is no word that the file is clean.
    if not said.endswith("OK"):
        security_log.tell("scanner-away", grave=True)
        raise ScannerAway


def _asked(address: str, content: bytes) -> str:
    with closing(_connected(address)) as line:
        line.sendall(b"zINSTREAM\0")
        for start in range(0, len(content), _PIECE):
            piece = content[start : start + _PIECE]
            line.sendall(len(piece).to_bytes(4, "big") + piece)
        line.sendall(bytes(4))
        said = b""
        while b"\0" not in said and len(said) < _LONGEST_ANSWER:
            more = line.recv(_LONGEST_ANSWER)
            if not more:
                break
            said += more
    return said.split(b"\0")[0].decode("ascii", "replace").strip()


def _connected(address: str) -> socket.socket:
    parts = urlsplit(address)
    if parts.scheme == "tcp":
        host, port = parts.hostname or "", parts.port or 0
        return socket.create_connection((host, port), timeout=_WAIT_S)
    line = socket.socket(socket.AF_UNIX)
    line.settimeout(_WAIT_S)
    try:
        line.connect(parts.path)
    except OSError:
        line.close()
        raise
    return line
