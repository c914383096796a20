"""`.ci/pin` writes digests anew from a registry: all of them, or none."""

import hashlib
import json
import re
import shutil
import subprocess
import sys
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread

import pytest

ROOT = Path(__file__).parents[1]
FILES = ("docker-compose.yml", ".docker/Dockerfile", ".docker/database.Dockerfile")
NAMED = re.compile(r"_IMAGE(?::-|=)([a-z]+:[\w.-]+)@sha256:([0-9a-f]{64})")
TOKEN = "for-one-look"


def index_of(image):
    """What the registry says of an image; its digest follows from it."""
    return json.dumps({"manifests": [{"of": image}]}).encode()


class Registry(BaseHTTPRequestHandler):
    absent = ""

    def do_GET(self):
        if self.path.startswith("/token?"):
            assert "scope=repository" in self.path
            return self.answer(200, json.dumps({"token": TOKEN}).encode())
        if self.headers["Authorization"] != f"Bearer {TOKEN}":
            realm = f"http://{self.headers['Host']}/token"
            asked = f'Bearer realm="{realm}",service="s",scope="repository:x:pull"'
            return self.answer(401, b"", {"WWW-Authenticate": asked})
        assert "image.index" in self.headers["Accept"]
        found = re.fullmatch(r"/v2/library/([a-z]+)/manifests/([\w.-]+)", self.path)
        image = f"{found[1]}:{found[2]}"
        if image == self.absent:
            return self.answer(404, b"{}")
        return self.answer(200, index_of(image))

    def answer(self, status, body, headers=None):
        self.send_response(status)
        for name, value in (headers or {}).items():
            self.send_header(name, value)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *_):
        pass


@contextmanager
def registry(absent=""):
    handler = type("Registry", (Registry,), {"absent": absent})
    server = ThreadingHTTPServer(("127.0.0.1", 0), handler)
    Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield f"http://127.0.0.1:{server.server_port}/v1/"
    finally:
        server.shutdown()
        server.server_close()


@pytest.fixture
def copies(tmp_path):
    for name in FILES:
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        shutil.copy(ROOT / name, path)
    return tmp_path


def pin(folder, *arguments):
    command = [sys.executable, ROOT / ".ci/pin", *arguments]
    return subprocess.run(
        command, cwd=folder, capture_output=True, text=True, check=False
    )


def pins(folder):
    found = [NAMED.findall((folder / name).read_text()) for name in FILES]
    return {image: digest for each in found for image, digest in each}


def test_every_image_that_is_named_has_a_digest():
    text = "".join((ROOT / name).read_text() for name in FILES)
    named = re.findall(r"(?:^FROM|image:|_IMAGE(?::-|=))\s*(\S+)", text, re.M)
    foreign = {n for n in named if not n.startswith(("$", "ropeseat"))}

    assert len(pins(ROOT)) == 4
    assert all(re.search(r"@sha256:[0-9a-f]{64}\}?$", name) for name in foreign)


def test_digests_are_written_anew_in_every_file(copies):
    before = {name: (copies / name).read_text() for name in FILES}
    with registry() as address:
        looked = pin(copies, address, "--look")
        assert {name: (copies / name).read_text() for name in FILES} == before
        done = pin(copies, address)

    assert done.returncode == 0, done.stderr
    assert done.stdout == looked.stdout
    images = pins(copies)
    assert images.keys() == pins(ROOT).keys()
    for image, digest in images.items():
        assert digest == hashlib.sha256(index_of(image)).hexdigest()
    for name, text in before.items():
        bare = re.sub("[0-9a-f]{64}", "", text)
        assert re.sub("[0-9a-f]{64}", "", (copies / name).read_text()) == bare


def test_nothing_is_changed_where_one_image_cannot_be_asked_for(copies):
    before = {name: (copies / name).read_text() for name in FILES}
    with registry(absent="rabbitmq:4") as address:
        missing = pin(copies, address)
    gone = pin(copies, address)

    for refused in (missing, gone):
        assert refused.returncode == 1
        assert "Nothing is changed" in refused.stderr
    assert {name: (copies / name).read_text() for name in FILES} == before
