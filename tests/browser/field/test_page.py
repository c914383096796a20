"""A day on the page: what is typed is ticked when it is kept, and told as it is."""

import base64
import json
import re

import pytest
from playwright.sync_api import expect

from tests.browser import waiting
from tests.browser.field.acts import TICK, enter, go, off, sent, wait
from tests.browser.field.phone import until
from tests.browser.looking import axe

_DRAFTS = """
async (draft) => { const store = await import('/static/field/store.js');
  const meta = await store.look(['meta'], (t) => t.objectStore('meta').getAll());
  return meta.includes(draft); }
"""
_ASK_AXE = """
() => axe.run(document, {runOnly: {type: 'tag', values: ['wcag2a', 'wcag2aa',
  'wcag2aaa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']}, resultTypes:
  ['violations']}).then(found => found.violations.flatMap(rule => rule.nodes.map(
  node => `${rule.id}: ${node.target.join(' ')}: ${node.failureSummary}`)))
"""

_SLOW_ONCE = """
() => { const own = navigator.storage.estimate.bind(navigator.storage);
  let asked = 0;
  navigator.storage.estimate = () => asked++ ? own() : new Promise(
    (done) => { window.late = () => done({quota: 1e9, usage: 0}); }); }
"""
_MENDED = """
async (value) => { const store = await import('/static/field/store.js');
  const kept = await import('/static/field/kept.js');
  const [one] = await kept.readings();
  const mended = {...one, value, typed: value};
  await store.change(['readings'], (t) => t.objectStore('readings').put(mended));
  kept.tellOthers(); }
"""
_LATE = """
async () => { window.late(); await new Promise((done) => setTimeout(done, 300)); }
"""


def test_what_was_looked_up_earlier_never_covers_what_was_looked_up_later(visit):
    off(visit)
    enter(visit, "12.9")
    wait(visit, 1)
    visit.evaluate(_SLOW_ONCE)
    visit.evaluate("() => { location.hash = '/outbox'; }")
    until(visit, "() => Boolean(window.late)")
    visit.evaluate(_MENDED, "13.1")
    line = visit.locator("li[data-reading]")
    expect(line).to_contain_text("13.1 mm")

    visit.evaluate(_LATE)
    assert "13.1 mm" in (line.text_content() or "")


def test_what_changes_while_a_visit_is_being_drawn_is_shown_and_so_is_what_follows(
    visit,
):
    off(visit)
    enter(visit, "12.9")
    wait(visit, 1)
    there = visit.evaluate("() => location.hash")
    go(visit, "")
    visit.evaluate(_SLOW_ONCE)
    visit.evaluate("there => { location.hash = there; }", there)
    until(visit, "() => Boolean(window.late)")
    visit.evaluate(_MENDED, "13.1")
    visit.evaluate(_LATE)
    expect(visit.locator(TICK)).to_have_text("✓ 13.1 mm")

    visit.evaluate(_MENDED, "13.2")
    expect(visit.locator(TICK)).to_have_text("✓ 13.2 mm")


def test_a_grid_takes_one_stroke_beyond_the_digits(visit, stub):
    values = ["12,9", "12.8", "12.95", "13", "12.7", "12.85"]
    visit.locator("input.value").first.focus()

    strokes = 0
    for value in values:
        for sign in (*value, "Enter"):
            visit.keyboard.press(sign)
            strokes += 1
        expect(visit.locator("input.value").nth(values.index(value))).to_have_value("")
    wait(visit, 6)

    expect(visit.locator(TICK)).to_have_text([f"✓ {value} mm" for value in values])
    assert strokes == sum(map(len, values)) + len(values)
    sent(visit, 6)
    got = [(r["rope"], r["value"], r["unit"]) for r in stub.readings.values()]
    assert got == [
        (n, value.replace(",", "."), "mm") for n, value in enumerate(values, 1)
    ]


def test_a_number_with_the_digits_of_its_gauge_is_kept_without_a_key(visit):
    off(visit)
    visit.locator("input.value").first.focus()
    visit.get_by_role("button", name="Gauge: plate calliper").click()
    expect(visit.get_by_label("Gauge", exact=True)).to_have_value("c-1")
    expect(visit.get_by_role("button", name="Gauge:")).to_have_count(0)
    fields = visit.locator("input.value")
    expect(fields.first).to_be_focused()
    # The next number may follow at once: no digit of it is lost.
    visit.keyboard.type("12,9012.85")
    wait(visit, 2)
    expect(fields.nth(2)).to_be_focused()
    # Taken up again by the key that one presses by itself, and mended in its place.
    visit.keyboard.press("Backspace")
    expect(visit.locator("input.value:focus")).to_have_value("12.85")
    visit.keyboard.press("Backspace")
    visit.keyboard.type("3")
    visit.get_by_text("✓ 12.83 mm").wait_for()
    expect(fields.nth(2)).to_be_focused()
    visit.keyboard.type("12.7")
    expect(fields.nth(2)).to_have_value("12.7")

    expect(visit.locator(TICK)).to_have_text(["✓ 12,90 mm", "✓ 12.83 mm"])
    kept = visit.evaluate(
        """async () => (await (await import('/static/field/kept.js')).readings())
        .filter((each) => each.state === 'kept').map((each) => each.gauge)"""
    )
    assert kept == ["c-1", "c-1"]


def test_a_step_that_is_no_decimal_place_is_never_complete(visit):
    asked = [
        (0.01, "mm", "12.93"),
        (0.02, "mm", "12.94"),
        (0.05, "mm", "12.95"),
        (0.0254, "in", "0.508"),
        (0.01, "mm", "12.9"),
        (0.01, "mm", "12"),
        (1.0, "mm", "12"),
        # An eighth and a 64th of an inch; a gauge of one unit read in the other.
        (3.175, "in", "0.1"),
        (3.175, "in", "0.125"),
        (0.396875, "in", "0.48"),
        (0.01, "in", "0.5079"),
        (0.0254, "mm", "12.90"),
        (None, "mm", "12.93"),
    ]

    found = visit.evaluate(
        """async (asked) => {
          const { isComplete } = await import('/static/field/typed.js');
          const item = { kind: 'k', gauge: '', quantity: 'length', unit: 'mm',
            units: { mm: ['1', '1'], in: ['127', '5'] } };
          return asked.map(([resolution_mm, unit, text]) => isComplete(text, item, {
            pack: { gauges: [{ code: 'g', name: 'g', resolution_mm }] },
            units: { length: unit }, gauges: { k: 'g' } })); }""",
        asked,
    )

    assert found == [True] * 4 + [False] * 9


def test_the_field_that_is_typed_into_is_never_under_the_keys(visit):
    off(visit)
    visit.locator("input.value").first.focus()
    visit.get_by_label("Unit").select_option("in")
    above = """() => { const field = document.activeElement.getBoundingClientRect();
      const keys = document.querySelector('.keys').getBoundingClientRect();
      return field.bottom <= keys.top && field.top >= 0; }"""
    for place in range(8):
        # Far from the last one: words stand above the field, keys below it.
        enter(visit, "5.1", place=place)
        visit.locator("input.value").nth(place + 1).focus()
        until(visit, above)


def test_a_fraction_of_an_inch_is_kept_without_a_key_once_nothing_can_follow(visit):
    off(visit)
    fields = visit.locator("input.value")
    fields.first.focus()
    visit.get_by_label("Unit").select_option("in")
    # After 2, 4 and 8, and in what is not in its lowest terms, more may come.
    visit.keyboard.type("33/64")
    expect(fields.nth(1)).to_be_focused()
    visit.keyboard.type("1/20")
    expect(fields.nth(1)).to_have_value("1/20")
    visit.keyboard.press("Enter")
    visit.keyboard.type("17/32")
    wait(visit, 3)
    visit.keyboard.type("32/64")
    expect(fields.nth(3)).to_have_value("32/64")
    visit.keyboard.press("Enter")
    visit.keyboard.type("65/64")
    expect(fields.nth(4)).to_have_value("65/64")
    visit.keyboard.press("Enter")
    visit.keyboard.type("1 1/16")
    wait(visit, 6)

    typed = ["33/64", "1/20", "17/32", "32/64", "65/64", "1 1/16"]
    expect(visit.locator(TICK)).to_have_text([f"✓ {each} in" for each in typed])


@pytest.mark.parametrize("service_workers", ["allow"])
def test_a_visit_is_gone_on_with_where_it_was_left(visit):
    off(visit)
    first = visit.locator("input.value").first
    first.fill("12.9")
    first.press("Enter")
    wait(visit, 1)
    visit.evaluate("() => navigator.serviceWorker.ready.then(() => true)")
    visit.goto(visit.url.split("#")[0])
    wait(visit, 1)

    expect(visit.get_by_label("rope diameter, rope 2", exact=True)).to_be_focused()


def test_the_code_in_a_picture_says_whether_it_is_this_machine(day):
    day.evaluate(
        """() => { window.seen = ['QC-1'];
          window.createImageBitmap = async () => null;
          window.BarcodeDetector = class { async detect() {
            return window.seen.map((rawValue) => ({rawValue})); } }; }"""
    )
    day.get_by_role("link", name="MH-1 Lift 1").click()
    camera = day.get_by_label("Or take a picture of its code")
    said = []
    for seen, told in (
        (["QC-1"], "another machine: QC-1"),
        (["https://lifts.example/machines/1"], "says so too: MH-1"),
        ([], "No code was seen"),
        (["4711"], "none of the machines on the phone: 4711"),
    ):
        day.evaluate("seen => { window.seen = seen; }", seen)
        camera.set_input_files(
            files=[{"name": "a.png", "mimeType": "image/png", "buffer": b"x"}]
        )
        day.locator("#told", has_text=told).wait_for()
        said.append(day.get_attribute("#told", "class"))

    assert said == ["stop", "notice", "stop", "stop"]


def test_same_as_last_is_one_touch_and_inches_take_fractions(visit, stub):
    visit.locator("input.value").first.focus()
    visit.get_by_role("button", name="Same as last").click()
    wait(visit, 1)
    expect(visit.locator("input.value").nth(1)).to_be_focused()
    visit.get_by_label("Unit").select_option("in")
    expect(visit.locator("input.value").nth(1)).to_be_focused()
    visit.keyboard.type("33")
    visit.get_by_role("button", name="Fraction").click()
    visit.keyboard.type("64")
    visit.get_by_role("button", name="Keep").click()
    wait(visit, 2)

    expect(visit.locator(TICK)).to_have_text(["✓ 12.9 mm", "✓ 33/64 in"])
    expect(visit.locator("main")).to_contain_text("last 0.508 in")


def test_a_tick_is_not_shown_while_the_transaction_may_fail(visit):
    visit.evaluate(
        """() => {
          const own = IDBObjectStore.prototype.add;
          IDBObjectStore.prototype.add = function (...all) {
            const request = own.apply(this, all);
            request.addEventListener('success', () => this.transaction.abort());
            return request;
          };
        }"""
    )
    visit.locator("input.value").first.fill("12.9")
    visit.keyboard.press("Enter")
    visit.wait_for_selector("#told.stop")

    assert visit.locator(TICK).count() == 0
    expect(visit.locator("#told")).to_contain_text("this was not kept")
    assert visit.locator("input.value").first.input_value() == "12.9"


def test_full_storage_is_said_in_words_and_the_typed_text_stays(visit):
    visit.evaluate(
        """() => { IDBObjectStore.prototype.add = () => {
          throw new DOMException('no room', 'QuotaExceededError'); }; }"""
    )
    visit.locator("input.value").first.fill("12.9")
    visit.keyboard.press("Enter")
    visit.wait_for_selector("#told.stop")

    expect(visit.locator("#told")).to_contain_text("storage is full")
    assert visit.locator("input.value").first.input_value() == "12.9"


def test_what_cannot_be_is_said_and_stays_in_its_field(visit):
    field = visit.locator("input.value").first
    for typed, said in (
        ("12,3,4", "This is no number"),
        ("-1", "cannot be below 0"),
        ("0", "must be above 0"),
        ("1/0", "This is no number"),
    ):
        field.fill(typed)
        field.press("Enter")
        visit.wait_for_selector("#told.stop")

        expect(visit.locator("#told")).to_contain_text(said)
        assert field.input_value() == typed
        assert visit.locator(TICK).count() == 0


def test_what_stands_in_a_field_is_there_after_a_reload(visit):
    field = visit.locator("input.value").first
    field.press_sequentially("12.")
    until(visit, _DRAFTS, "12.")

    visit.reload()

    expect(visit.locator("input.value").first).to_have_value("12.")


def test_slip_stops_at_once_without_signal_and_says_that_nobody_was_told(visit, stub):
    off(visit)
    expect(visit.locator("[data-kind=slip_seen] small")).to_have_text(
        "last no, not seen "
    )
    visit.get_by_role("button", name="yes", exact=True).click()
    visit.wait_for_selector("section.stop")

    alarm = visit.inner_text("section.stop")
    assert "Stop: out of service" in alarm
    assert alarm.count("Take the machine out of service") == 1
    assert alarm.count("slip seen: yes.") == 1
    assert "yes ." not in alarm
    assert "Nobody has been told yet" in alarm
    expect(visit.locator("#told")).to_contain_text("Nobody has been told yet")
    stub.told = "The office is told by mail."
    visit.context.set_offline(False)
    visit.evaluate("window.dispatchEvent(new Event('online'))")
    alarm = visit.locator("section.stop")
    expect(alarm).to_contain_text("told by mail")
    expect(alarm).not_to_contain_text("Nobody has been told")


def test_a_reading_on_the_unsafe_side_acts_at_once_and_a_good_one_is_held(visit):
    off(visit)
    enter(visit, "11.05")
    wait(visit, 1)
    alarm = visit.locator("section.stop")
    expect(alarm).to_contain_text("Act as if true")
    expect(alarm).to_contain_text("rope diameter rope 1: 11.05 mm")
    enter(visit, "14.1", place=1)
    wait(visit, 2)

    expect(visit.locator("#told")).to_contain_text("held until someone confirms it")
    assert "14.1" not in visit.inner_text("section.stop")


def test_what_the_server_warns_of_is_an_alarm_only_where_it_acts(visit, stub):
    late = "gauge c-1 was due for calibration on 2026-05-01"
    stub.outcomes["13"] = {"outcome": "stored", "warning": late}
    stub.outcomes["12"] = {
        "outcome": "stored",
        "warning": "unconfirmed: act as if true",
    }
    fields = visit.locator("input.value")
    fields.first.fill("13")
    fields.first.press("Enter")
    visit.locator("output[data-state=stored]").first.wait_for()
    expect(visit.locator("section.stop")).to_have_count(0)
    fields.nth(1).fill("12")
    fields.nth(1).press("Enter")

    expect(visit.locator("section.stop")).to_contain_text("rope 2: 12 mm")
    expect(visit.locator("section.stop")).not_to_contain_text("rope 1: 13 mm")


def test_a_check_not_made_says_why(visit, stub):
    visit.once("dialog", lambda dialog: dialog.dismiss())
    visit.get_by_role("button", name="not made, because").click()
    visit.wait_for_selector("#told.stop")
    nothing = visit.locator(TICK).count()
    visit.once("dialog", lambda dialog: dialog.accept("no ladder"))
    visit.get_by_role("button", name="not made, because").click()
    wait(visit, 1)
    sent(visit, 1)

    [reading] = stub.readings.values()
    assert nothing == 0
    assert (reading["value"], reading["note"]) == ("not seen", "no ladder")
    assert reading["place"] == {"part": "brake"}


def test_typed_again_in_its_field_is_mended(visit, stub):
    off(visit)
    for value in ("129", "12.9"):
        enter(visit, value)
        expect(visit.locator(TICK)).to_have_text(f"✓ {value} mm")
    visit.context.set_offline(False)
    visit.evaluate("window.dispatchEvent(new Event('online'))")
    sent(visit, 1)

    assert [r["value"] for r in stub.readings.values()] == ["12.9"]


def test_a_refused_reading_is_mended_in_the_list_and_sent_again(visit, stub):
    stub.outcomes["13"] = {"outcome": "refused", "problem": {"detail": "no rope 1"}}
    enter(visit, "13")
    visit.wait_for_selector("output[data-state=refused]")
    visit.get_by_role("link", name="To send: 1").click()
    visit.wait_for_selector("li[data-state=refused]")
    refused = visit.locator("li[data-state=refused]")
    expect(refused).to_contain_text("refused: mend it. no rope 1")

    visit.get_by_text("Mend", exact=True).click()
    visit.get_by_label("Mended value").fill("12,9")
    visit.get_by_role("button", name="Keep mended").click()
    visit.wait_for_selector("li[data-state=stored]")

    assert [r["value"] for r in stub.readings.values()] == ["12.9"]


def test_a_visit_at_the_wrong_machine_is_moved_and_unsent_ones_leave_as_a_file(visit):
    off(visit)
    enter(visit, "12.9")
    wait(visit, 1)
    visit.evaluate("location.hash = '/outbox'")
    visit.get_by_text("This visit was at another machine").click()
    visit.get_by_role("button", name="Move the whole visit").click()
    visit.get_by_role("heading", name=re.compile("QC-1")).wait_for()
    with visit.expect_download() as downloading:
        visit.get_by_role("button", name="Save what is unsent").click()

    saved = json.loads(downloading.value.path().read_text())
    assert saved["visits"][0]["machine"] == "QC-1"
    assert [r["value"] for r in saved["visits"][0]["readings"]] == ["12.9"]


def test_a_photo_is_made_smaller_and_sent_after_the_readings(visit, stub):
    canvas = """async () => { const c = document.createElement('canvas');
      c.width = 4000; c.height = 3000;
      c.getContext('2d').fillRect(0, 0, 2000, 2000);
      return c.toDataURL('image/png').split(',')[1]; }"""
    content = base64.b64decode(visit.evaluate(canvas))
    visit.get_by_text("Photo", exact=True).click()
    visit.locator("input[type=file]").set_input_files(
        files=[{"name": "a.png", "mimeType": "image/png", "buffer": content}]
    )
    expect(visit.locator("#told")).to_contain_text("is kept")
    assert stub.photos == []
    enter(visit, "12.9")
    sent(visit, 1)
    visit.evaluate("window.dispatchEvent(new Event('online'))")
    waiting.until(visit, lambda: stub.photos)

    [photo] = stub.photos
    assert photo[:3] == b"\xff\xd8\xff"
    size = visit.evaluate(
        """async (bytes) => { const made = await createImageBitmap(
          new Blob([new Uint8Array(bytes)])); return [made.width, made.height]; }""",
        list(photo),
    )
    assert size == [1600, 1200]


def test_waves_are_timed_by_touch_and_nine_returns_are_too_few(day, stub):
    day.get_by_role("link", name="MH-1 Lift 1").click()
    day.get_by_role("button", name="Yes: begin tensions").click()
    day.get_by_role("link", name="Time the waves by touch").click()
    day.wait_for_selector(".touch")
    touch = """(count) => { let at = 1000; for (let n = 0; n < count; n += 1) {
      const event = new PointerEvent('pointerdown', {bubbles: true});
      Object.defineProperty(event, 'timeStamp', {value: at});
      at += n % 2 ? 210 : 190;
      document.querySelector('.touch').dispatchEvent(event); } }"""
    day.evaluate(touch, 10)
    day.get_by_role("button", name="Keep").click()
    expect(day.locator("#told")).to_contain_text("there are 9")
    day.get_by_role("button", name="Anew").click()
    day.evaluate(touch, 11)
    expect(day.locator(".count")).to_have_text(
        "10 returns; ten take 2 s; they differ by 5 %"
    )
    day.get_by_role("button", name="Keep").click()
    expect(day.locator("#told")).to_contain_text("Kept")
    sent(day, 1)

    [reading] = stub.readings.values()
    assert (reading["kind"], reading["value"], reading["unit"]) == (
        "wave_time",
        "2.00",
        "s",
    )


def test_readings_as_left_close_the_planned_work(day, stub):
    day.get_by_role("link", name="MH-1 Lift 1").click()
    day.get_by_role("button", name="Yes: read as left after set the tensions").click()
    enter(day, "12.9")
    wait(day, 1)
    day.evaluate("window.dispatchEvent(new Event('online'))")
    day.wait_for_timeout(300)
    before = list(stub.works), dict(stub.readings)
    day.get_by_role("button", name="The work is done").click()
    sent(day, 1)

    assert before == ([], {})
    [work] = stub.works
    assert (work["kind"], work["planned_work"]) == ("EQUALISING", 9)
    assert [r["value"] for r in work["as_left"]["readings"]] == ["12.9"]


def test_a_rope_that_is_not_there_is_said(visit):
    visit.get_by_text("How, and what it decides").nth(1).click()
    visit.get_by_label("Another rope, number").fill("9")
    visit.get_by_role("button", name="Add").first.click()

    expect(visit.locator("#told")).to_have_text(
        "There is no rope 9 here; there are 1, 2, 3, 4, 5, 6."
    )


def test_a_revoked_phone_says_so_and_keeps_what_was_typed(visit, stub):
    off(visit)
    enter(visit, "12.9")
    wait(visit, 1)
    # Also for what is sent again by itself after half a minute.
    stub.faults += [(401, "phone-revoked")] * 1_000
    visit.context.set_offline(False)
    visit.evaluate("window.dispatchEvent(new Event('online'))")
    expect(visit.locator("#head")).to_contain_text("revoked")
    visit.evaluate("location.hash = '/outbox'")

    expect(visit.locator("li[data-reading]")).to_contain_text("12.9")
    expect(visit.get_by_role("button", name="Save what is unsent")).to_be_visible()


@pytest.mark.parametrize("language", [pytest.param("en", marks=pytest.mark.long), "de"])
def test_each_screen_is_accessible_with_the_contrast_of_triple_a(day, stub, language):
    stub.pairs = {**stub.pairs, "language": language}
    day.evaluate(
        """async (language) => { const store = await import('/static/field/store.js');
        const paired = await store.remembered('pairing');
        await store.remember('pairing', {...paired, language}); }""",
        language,
    )
    day.reload()
    day.wait_for_selector("main h1")
    wrong = []
    day.evaluate(axe())
    for place in ("machines", "", "machine/1", "outbox", "slip/x", "pair"):
        go(day, place)
        wrong += [f"{place}: {each}" for each in day.evaluate(_ASK_AXE)]
    go(day, "machine/1")
    day.locator("button.main").first.click()
    day.wait_for_selector("input.value")
    day.get_by_role("button", name="yes", exact=True).click()
    day.wait_for_selector("section.stop")
    day.locator("input.value").first.focus()
    wrong += day.evaluate(_ASK_AXE)
    small = day.evaluate(
        """() => [...document.querySelectorAll('button, summary, select, .way, '
        + 'input:not([type=checkbox])')].filter((each) => each.offsetParent).filter(
        (each) => each.getBoundingClientRect().height < 48
          || each.getBoundingClientRect().width < 48).map((each) => each.outerHTML)"""
    )

    assert wrong == []
    assert small == []
    assert day.evaluate("document.documentElement.scrollWidth") <= 360
