"""Files of others are shown to the operator's virus scanner, and kept by its word."""

import contextlib
import socket
import threading

import pytest

from fleet.platform import scanning

CLEAN, FOUND = b"stream: OK\0", b"stream: Eicar-Test-Signature FOUND\0"


@pytest.fixture
def scanner(settings, tmp_path):
    """Return what has a scanner answer so, and what it was sent."""
    path, seen = tmp_path / "s", []
    with contextlib.closing(socket.socket(socket.AF_UNIX)) as listening:
        listening.bind(str(path))
        listening.listen()
        settings.FILE_SCANNER = f"unix:{path}"

        def answers(said):
            def serve():
                line, _ = listening.accept()
                with line, line.makefile("rb") as read:
                    assert read.read(10) == b"zINSTREAM\0"
                    sent = b""
                    while length := int.from_bytes(read.read(4), "big"):
                        sent += read.read(length)
                    seen.append(sent)
                    line.sendall(said)

            threading.Thread(target=serve, daemon=True).start()
            return seen

        yield answers


def test_a_clean_file_is_sent_whole_and_taken(scanner):
    content = bytes(range(256)) * 1000
    seen = scanner(CLEAN)

    scanning.check(content)

    assert seen == [content]


def test_a_malicious_file_is_refused(scanner):
    scanner(FOUND)

    with pytest.raises(scanning.Malicious):
        scanning.check(b"X5O!")


@pytest.mark.parametrize(
    "said", [b"", b"INSTREAM size limit exceeded. ERROR\0", b"stream: OKAY?\0"]
)
def test_whatever_is_no_word_that_it_is_clean_takes_no_file(scanner, said):
    scanner(said)

    with pytest.raises(scanning.ScannerAway):
        scanning.check(b"a photo")


def test_a_scanner_that_is_away_takes_no_file(settings, tmp_path):
    settings.FILE_SCANNER = f"unix:{tmp_path}/nobody"

    with pytest.raises(scanning.ScannerAway):
        scanning.check(b"a photo")


def test_without_a_scanner_none_is_asked(settings):
    settings.FILE_SCANNER = ""

    scanning.check(b"a photo")
