"""What goes wrong is said in words, in the reader's language, and nothing is lost."""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from urllib.parse import urlsplit

import pytest
from playwright import sync_api as playwright
from playwright.sync_api import expect

from tests.browser.field.acts import TICK, enter, go, off, sent, wait
from tests.browser.field.conftest import Windows
from tests.browser.field.phone import until

LONG = pytest.mark.long
YEARS_10_S = 10 * 365 * 86_400
_CHANGED = """
async (changes) => { const store = await import('/static/field/store.js');
  await store.change(['packs'], async (t) => {
    const packs = t.objectStore('packs');
    for (const each of await packs.getAll()) await packs.put({...each, ...changes});
  }); }
"""
_SPEAK = """
async () => { const store = await import('/static/field/store.js');
  const paired = await store.remembered('pairing');
  await store.remember('pairing', {...paired, language: 'de'}); }
"""
_KEPT = """
async () => { const kept = await import('/static/field/kept.js');
  return (await kept.readings()).map((each) => [each.value, each.state]); }
"""


def german(page: playwright.Page) -> None:
    """Let the page speak German from now on, wherever it stands."""
    page.evaluate(_SPEAK)
    page.reload()
    page.get_by_role("link", name="Heute", exact=True).wait_for()


@contextmanager
def opened(in_window: Windows, stub: Any, script: str) -> Iterator[playwright.Page]:
    """Open the page of a German phone where a script has run before its own."""
    with in_window(locale="de-DE") as page:
        page.add_init_script(script)
        page.goto(f"{stub.address}/field/")
        yield page


def test_a_number_in_another_unit_than_last_time_is_asked_about(visit):
    off(visit)
    enter(visit, "0.508")
    wait(visit, 1)

    told = visit.locator("#told")
    expect(told).to_contain_text("In in this would be near the last one: is mm right?")
    enter(visit, "12.8", place=1)
    wait(visit, 2)
    expect(told).not_to_contain_text("near the last one")


@pytest.mark.parametrize(
    "typed", ["1,29", *(pytest.param(t, marks=LONG) for t in ("129", "1290", "0.129"))]
)
def test_a_decimal_mark_at_another_place_than_last_time_is_asked_about(visit, typed):
    german(visit)
    off(visit)
    enter(visit, typed)
    wait(visit, 1)

    told = visit.locator("#told")
    asks = "Zuletzt waren es 12,9 mm: Stimmen Komma und Einheit?"
    expect(told).to_contain_text(asks)
    # What was typed stands as it was typed, until somebody mends it: here in the list.
    expect(visit.locator(TICK)).to_have_text(f"✓ {typed} mm")
    go(visit, "outbox")
    visit.get_by_text("Berichtigen", exact=True).click()
    visit.get_by_label("Berichtigter Wert").fill("12,9")
    visit.get_by_role("button", name="Berichtigt behalten").click()
    expect(visit.locator("li[data-reading]")).to_contain_text("12,9 mm")
    expect(told).not_to_contain_text(asks)


def test_what_the_server_warns_of_is_said_in_german(visit, stub):
    late = {"code": "gauge-overdue", "gauge": "c-1", "day": "2026-05-01"}
    retired = {"code": "machine-retired", "machine": "MH-1", "day": "2026-05-02"}
    stub.outcomes["12.9"] = {
        "outcome": "stored",
        "warning": "gauge c-1 was due; machine MH-1 was retired",
        "warnings": [late, retired],
    }
    german(visit)
    enter(visit, "12.9")
    sent_german(visit)
    go(visit, "outbox")

    line = visit.locator("li[data-reading]")
    expect(line).to_contain_text("Das Messmittel c-1 war am 2026-05-01")
    expect(line).to_contain_text("Die Maschine MH-1 wurde am 2026-05-02 ausgemustert")
    expect(line).not_to_contain_text("was retired")


def sent_german(page: playwright.Page) -> None:
    """Wait until a German page says that nothing waits."""
    expect(page.locator("#head")).to_contain_text("Alles gesendet")


@LONG
def test_a_refusal_is_said_in_german_and_what_was_typed_stays(visit, stub):
    problem = {"code": "no-part", "detail": "machine MH-1 had no rope 1"}
    stub.outcomes["12.9"] = {"outcome": "refused", "problem": problem}
    german(visit)
    enter(visit, "12.9")
    visit.locator("output[data-state=refused]").wait_for()
    go(visit, "outbox")

    line = visit.locator("li[data-state=refused]")
    expect(line).to_contain_text("hatte die Maschine an jenem Tag nicht")
    expect(line).to_contain_text("12.9")
    assert visit.evaluate(_KEPT) == [["12.9", "refused"]]


@LONG
def test_whom_the_office_has_told_is_said_in_german(visit, stub):
    stub.told, stub.told_code = "mail goes to 2 people of the office now", "mailed"
    german(visit)
    visit.get_by_role("button", name="yes", exact=True).click()

    alarm = visit.locator("section.stop")
    expect(alarm).to_contain_text("Jetzt gehen Mails an 2 Personen")
    expect(alarm).not_to_contain_text("mail goes")


def test_an_answer_of_another_version_takes_nothing_for_sent(visit, stub):
    stub.strange = {"visits": [], "filed": True}
    enter(visit, "12.9")
    wait(visit, 1)
    go(visit, "outbox")
    visit.get_by_role("button", name="Send now").click()
    stuck = "The server answered: it is of another version than this page."
    expect(visit.locator("#told")).to_contain_text("sent by itself later")
    go(visit, "")
    go(visit, "outbox")

    expect(visit.locator("main")).to_contain_text(stuck)
    assert visit.evaluate(_KEPT) == [["12.9", "frozen"]]
    stub.strange = None
    visit.get_by_role("button", name="Send now").click()
    sent(visit, 1)
    assert len(stub.readings) == 1


def test_a_pack_of_another_version_is_not_taken(visit, stub):
    enter(visit, "12.9")
    wait(visit, 1)
    for version, said in ((2, "The server is newer"), (0, "of another version")):
        stub.version = version
        go(visit, "machines")
        visit.get_by_label("MH-1").wait_for()
        visit.get_by_role("button", name="Fetch for the day").click()

        expect(visit.locator("#told")).to_contain_text(said)
        go(visit, "")
    expect(visit.get_by_role("link", name="MH-1 Lift 1")).to_be_visible()


def test_packs_of_another_version_on_the_phone_are_not_read(visit):
    off(visit)
    enter(visit, "12.9")
    wait(visit, 1)
    visit.evaluate(_CHANGED, {"version": 2})
    go(visit, "")

    expect(visit.locator("main")).to_contain_text("fetched for another version")
    expect(visit.get_by_role("link", name="MH-1 Lift 1")).to_have_count(0)
    assert visit.evaluate(_KEPT) == [["12.9", "kept"]]


def test_a_pack_three_weeks_old_is_told(visit):
    age = 22 * 86_400_000
    made = visit.evaluate("(age) => new Date(Date.now() - age).toISOString()", age)
    visit.evaluate(_CHANGED, {"made_at": made})
    go(visit, "machine/1")

    expect(visit.locator("main")).to_contain_text("That is 22 days ago")


def test_a_machine_retired_meanwhile_is_told_when_packs_are_fetched(visit, stub):
    enter(visit, "12.9")
    wait(visit, 1)
    stub.absent = [{"id": 2, "code": "machine-retired"}]
    stub.packs = stub.packs[:1]
    go(visit, "machines")
    visit.get_by_label("MH-1").wait_for()
    visit.get_by_role("button", name="Fetch for the day").click()

    expect(visit.locator("#told")).to_contain_text("1 of the machines are retired")


@pytest.mark.parametrize(
    "behind_s",
    [-YEARS_10_S, *(pytest.param(s, marks=LONG) for s in (3_600, YEARS_10_S))],
)
def test_a_clock_an_hour_or_ten_years_off_is_told_and_set_right(day, stub, behind_s):
    # Fetched by the wrong clock: nothing is taken for old that is not.
    stub.behind_s = behind_s
    go(day, "machines")
    day.get_by_label("MH-1").wait_for()
    day.get_by_role("button", name="Fetch for the day").click()
    day.get_by_role("link", name="MH-1 Lift 1").click()
    expect(day.locator("#head")).to_contain_text(f"by {round(behind_s / 60)} minutes")
    expect(day.locator("main")).not_to_contain_text("days ago")
    day.get_by_role("button", name="Yes: begin routine visit").click()
    if behind_s == -YEARS_10_S:
        off(day)
    enter(day, "12.9")
    if behind_s == -YEARS_10_S:
        # By the server's clock this was before the ropes were fitted: it is held, and
        # the list that already stands says so as soon as that is known.
        held = day.locator("output[data-id^='rope_diameter|1']")
        wait(day, 1)
        go(day, "outbox")
        expect(day.locator("li[data-reading]")).to_contain_text("kept on the phone")
        day.context.set_offline(False)
        expect(day.locator("li[data-reading]")).to_contain_text("before the part")
        assert held.count() == 0
        assert stub.readings == {}
        day.get_by_role("button", name="Keep this time").click()
    sent(day, 1)

    [reading] = stub.readings.values()
    assert reading["value"] == "12.9"
    if behind_s != -YEARS_10_S:
        assert abs(reading["clock_offset_s"] - behind_s) <= 5


@pytest.mark.parametrize(
    ("script", "said"),
    [
        ("navigator.storage.persist = async () => false;", "sagt nicht zu"),
        ("delete StorageManager.prototype.persist;", "kann nicht sagen"),
    ],
)
def test_storage_that_is_not_promised_is_told_on_each_screen(
    in_window, stub, script, said
):
    kept = "StorageManager.prototype.persisted = async () => false;"
    with opened(in_window, stub, f"{kept} {script}") as page:
        for place in ("pair", "outbox"):
            page.evaluate("place => { location.hash = `/${place}`; }", place)
            expect(page.locator("#head .notice").first).to_contain_text(said)


def test_storage_that_is_refused_is_told_in_the_readers_language(in_window, stub):
    script = """IDBFactory.prototype.open = () => {
        throw new DOMException('refused', 'SecurityError'); };"""
    with opened(in_window, stub, script) as page:
        expect(page.locator("main .stop")).to_contain_text("Nichts Eingetipptes")
        expect(page.get_by_role("button", name="Noch einmal versuchen")).to_be_visible()


def test_an_address_that_is_not_secure_is_answered_in_words(phone):
    host = str(urlsplit(phone.address).hostname)
    phone.flags = (f"--host-resolver-rules=MAP lift.example {host}",)
    page = phone.start("")
    page.goto(phone.address.replace(host, "lift.example") + "/field/")

    assert page.evaluate("window.isSecureContext") is False
    expect(page.locator("body")).to_contain_text("This address is not secure (https)")


def test_a_page_in_the_browser_of_a_phone_asks_to_be_installed_first(in_window, stub):
    script = "Object.defineProperty(navigator, 'standalone', {get: () => false});"
    with opened(in_window, stub, script) as page:
        expect(page.locator("main .stop")).to_contain_text("Startbildschirm")


def test_a_session_revoked_in_the_cellar_loses_nothing_and_leaves_as_a_file(
    visit, stub
):
    german(visit)
    off(visit)
    enter(visit, "12.9")
    wait(visit, 1)
    stub.faults += [(401, "phone-revoked")] * 1_000
    visit.context.set_offline(False)
    visit.evaluate("window.dispatchEvent(new Event('online'))")
    expect(visit.locator("#head")).to_contain_text("gesperrt")
    go(visit, "outbox")
    with visit.expect_download() as downloading:
        visit.get_by_role("button", name="Nicht Gesendetes als Datei sichern").click()

    saved = json.loads(downloading.value.path().read_text())
    assert [r["value"] for r in saved["visits"][0]["readings"]] == ["12.9"]
    until(visit, f"async () => (await ({_KEPT})()).length === 1")
    assert visit.locator(TICK).count() == 0
