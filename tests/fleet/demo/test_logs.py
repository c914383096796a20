"""The demo's access log is written by the service's own settings: without secrets."""

import socket
from types import SimpleNamespace

from fleet.demo import processes
from fleet.project import gunicorn_settings


def test_the_demos_web_server_writes_no_addresses_that_are_secrets(tmp_path):
    places = SimpleNamespace(logs=tmp_path)
    with socket.socket() as listening:
        command = processes._web(places, listening).command

    # What it writes instead, tests/fleet/platform/watching/test_access_log.py shows.
    assert "python:fleet.project.gunicorn_settings" in command
    assert "--access-logformat" not in command
    assert "--logger-class" not in command
    assert gunicorn_settings.logger_class.endswith("access_log.AccessLogger")
    for whole in ("%(r)s", "%(q)s", "%(f)s", "%({referer}i)s"):
        assert whole not in gunicorn_settings.access_log_format
