"""The address of the demo's web server."""

import socket

import pytest

from fleet.demo import ports
from fleet.demo.problems import DemoStopped


@pytest.fixture
def taken():
    with socket.create_server(("127.0.0.1", 0)) as server:
        yield server.getsockname()[1]


def test_next_free_port_is_taken(taken, monkeypatch):
    monkeypatch.setattr(ports, "USUAL_PORT", taken)

    with ports.listen(port=None) as found:
        assert taken < found.getsockname()[1] < taken + ports.PORTS_TRIED


def test_wanted_port_in_use_is_said(taken):
    with pytest.raises(DemoStopped, match=f"Port {taken} cannot be used.*--port"):
        ports.listen(port=taken)


def test_all_usual_ports_in_use_is_said(taken, monkeypatch):
    monkeypatch.setattr(ports, "USUAL_PORT", taken)
    monkeypatch.setattr(ports, "PORTS_TRIED", 1)

    with pytest.raises(DemoStopped, match=r"all in use.*--port"):
        ports.listen(port=None)


def test_number_that_is_no_port_is_said():
    with pytest.raises(DemoStopped, match="Port 70000 cannot be used"):
        ports.listen(port=70000)


def test_only_this_machine_is_served():
    with ports.listen(port=0) as found:
        assert found.getsockname()[0] == "127.0.0.1"
