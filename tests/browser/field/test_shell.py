"""The page opens without signal, and a newer one takes over whole."""

import json
from pathlib import Path

import pytest

from inspections.pages import field as pages
from tests.benchmarks.field.server import newer_page
from tests.browser.field import stub as stubs
from tests.browser.field.phone import until
from tests.browser.waiting import be_patient

READY = "navigator.serviceWorker.ready.then(() => true)"


@pytest.fixture
def installed(chromium, stub):
    """A browser in which the page has been opened once."""
    context = be_patient(chromium.new_context(viewport={"width": 360, "height": 800}))
    page = context.new_page()
    page.complaints = []
    page.on("pageerror", lambda error: page.complaints.append(str(error)))
    page.goto(f"{stub.address}/field/")
    page.wait_for_selector("main h1")
    page.evaluate(READY)
    yield page
    context.close()


def test_the_page_opens_without_signal_and_keeps_no_answer_of_the_server(installed):
    kept = installed.evaluate(
        """async () => { const names = await caches.keys();
        const cache = await caches.open(names.find((each) => each.includes('shell')));
        const shells = names.filter((each) => each.includes('shell'));
        return [shells.length, (await cache.keys()).map(
          (r) => new URL(r.url).pathname)];
        }"""
    )
    installed.context.set_offline(True)
    installed.reload()
    installed.wait_for_selector("main h1")

    assert kept[0] == 1
    assert "/field/" in kept[1]
    assert "/static/field/page.js" in kept[1]
    assert not [path for path in kept[1] if path.startswith("/api/")]
    assert "Pair this phone" in installed.inner_text("main")
    assert installed.complaints == []


def test_a_newer_version_of_the_page_takes_over_whole(
    installed, stub, monkeypatch, tmp_path
):
    monkeypatch.setattr(stubs, "STATIC", Path(newer_page(tmp_path)))
    monkeypatch.setattr(pages, "_version", lambda: "newer")
    installed.evaluate("navigator.serviceWorker.ready.then((r) => r.update())")
    until(
        installed,
        "() => caches.keys().then((all) => all.filter("
        "(each) => each.includes('shell')).join() === 'field-shell-newer')",
    )
    new = installed.evaluate(
        """async () => { const found = await caches.match('/static/field/store.js');
        return (await found.text()).includes('later: 1'); }"""
    )
    installed.context.set_offline(True)
    installed.reload()

    installed.wait_for_selector("main h1")
    version = installed.evaluate(
        "() => indexedDB.databases().then((all) => all[0].version)"
    )
    assert new
    assert version == 2
    assert "Pair this phone" in installed.inner_text("main")


def test_the_manifest_can_be_installed(installed, stub):
    address = installed.evaluate("document.querySelector('link[rel=manifest]').href")
    found = installed.request.get(address)

    manifest = json.loads(found.text())
    assert manifest["start_url"] == manifest["scope"] == "/field/"
    assert manifest["display"] == "standalone"
