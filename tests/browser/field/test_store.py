"""What the phone tells as kept is on its storage."""

import subprocess

import pytest
from playwright import sync_api as playwright

from tests.browser.field.phone import bare, call

# Keeps so many readings one after the other; returns how many had their tick.
KEEP_MANY = """
  const holder = {contractor: 'a', person: 1, name: 'x'};
  let kept_ones = 0;
  try {
    const [visit = await kept.begin({holder, machine: {id: 1, code: 'M'},
      kind: 'ROUTINE'})] = await kept.visits();
    for (; kept_ones < given[0]; kept_ones += 1) {
      await kept.keep({visit: visit.reference, kind: 'rope_diameter', number: 1,
        number_by: 'rope', place: {}, typed: '1', value: '1', unit: 'mm',
        judged: {acts: '', words: []}});
    }
  } catch (problem) {
    if (!(problem instanceof DOMException)) throw problem;
  }
  return kept_ones;
"""


PAIR = "await server.pair('ABCD-EFGH', 'phone 1');"
VISIT = """const holder = await server.holder();
const machine = {id: 1, code: 'MH-1'};
const visit = await kept.begin({holder, machine, kind: 'ROUTINE'});
"""
KEEP = """const keep = (value, more = {}) => kept.keep({visit: visit.reference,
  kind: 'rope_diameter', number_by: 'rope', number: 1, place: {station: 'car side'},
  typed: value, value, unit: 'mm', judged: {acts: '', words: []}, ...more});
"""
BEGIN = PAIR + VISIT + KEEP


def test_keeping_asks_for_strict_durability_and_ends_with_the_transaction(page):
    order = call(
        page,
        """
        const order = [];
        const own = IDBDatabase.prototype.transaction;
        IDBDatabase.prototype.transaction = function (names, mode, how) {
          const made = own.call(this, names, mode, how);
          if (mode === 'readwrite' && made.objectStoreNames.contains('readings')) {
            order.push(`asked ${how.durability}, given ${made.durability}`);
            made.addEventListener('complete', () => order.push('complete'));
          }
          return made;
        };
        """
        + BEGIN
        + "await keep('12.9'); order.push('kept'); return order;",
    )

    assert order == ["asked strict, given strict", "complete", "kept"]


def test_a_transaction_aborted_after_its_request_succeeded_keeps_nothing(page):
    told = call(
        page,
        BEGIN
        + """
        const own = IDBObjectStore.prototype.add;
        let succeeded = 0;
        IDBObjectStore.prototype.add = function (...all) {
          const request = own.apply(this, all);
          request.addEventListener('success', () => {
            succeeded += 1;
            this.transaction.abort();
          });
          return request;
        };
        let said = 'kept';
        await keep('12.9').catch((problem) => { said = problem.name; });
        IDBObjectStore.prototype.add = own;
        return [succeeded, said, (await kept.readings()).length];
        """,
    )

    assert told == [1, "AbortError", 0]


def test_after_an_abort_without_a_word_a_new_file_is_begun_before_more_is_kept(page):
    filled = call(
        page,
        BEGIN
        + """
        await store.learn();
        const own = IDBObjectStore.prototype.add;
        IDBObjectStore.prototype.add = function (...all) {
          const request = own.apply(this, all);
          request.addEventListener('success', () => this.transaction.abort());
          return request;
        };
        await keep('12.9').catch(() => {});
        IDBObjectStore.prototype.add = own;
        const put = IDBObjectStore.prototype.put;
        let bytes = 0;
        IDBObjectStore.prototype.put = function (value, key) {
          if (value instanceof Uint8Array) bytes += value.length;
          return put.call(this, value, key);
        };
        await keep('12.8'); const once = bytes; await keep('12.7');
        IDBObjectStore.prototype.put = put;
        return [once, bytes, (await kept.readings()).map((each) => each.value)];
        """,
    )

    once, after, values = filled
    assert once == after > 6_000_000
    assert values == ["12.8", "12.7"]


def test_full_storage_is_said_as_such(page):
    said = call(
        page,
        BEGIN
        + """
        const own = IDBObjectStore.prototype.add;
        IDBObjectStore.prototype.add = () => {
          throw new DOMException('no room', 'QuotaExceededError');
        };
        const problem = await keep('12.9').catch((each) => each);
        IDBObjectStore.prototype.add = own;
        return [room.isFull(problem), (await kept.readings()).length];
        """,
    )

    assert said == [True, 0]


def test_photos_stop_while_room_for_ten_thousand_readings_remains(page):
    answers = call(
        page,
        """
        // WebKitGTK has none of its own.
        const storage = {};
        Object.defineProperty(navigator, 'storage', {value: storage});
        const answers = [];
        for (const left of [24_999_999, 25_000_000, 25_000_001, undefined]) {
          const found = {quota: left && left + 5, usage: 5};
          storage.estimate = async () => found;
          answers.push(await room.hasRoomForPhoto(0), await room.hasRoomForPhoto(1));
        }
        return answers;
        """,
    )

    assert answers == [False, False, True, False, True, True, False, False]


def test_ten_thousand_readings_fit_into_the_room_that_photos_leave(page):
    size = call(
        page,
        BEGIN
        + """
        const one = await keep('12.95');
        await store.change(['readings'], async (t) => {
          for (let n = 0; n < 500; n += 1) {
            await t.objectStore('readings').add({...one, reference: kept.reference()});
          }
        });
        return JSON.stringify(one).length;
        """,
    )

    # With its share of a batch a reading is kept twice.
    assert 2 * size < 2_500


def test_readings_are_numbered_in_one_order_from_all_tabs(page):
    other = page.context.new_page()
    other.goto(page.url)
    reference = call(page, BEGIN + "await keep('1.1'); return visit.reference;")

    made = "await kept.keep({visit: given[0], kind: 'rope_diameter', typed: given[1],"
    made += "value: given[1], unit: 'mm', number_by: 'rope', number: 1, place: {},"
    made += "judged: {acts: '', words: []}});"
    call(bare(other), made, reference, "2.2")
    call(page, made, reference, "3.3")
    found = call(other, "return kept.readings();")

    assert [each["value"] for each in found] == ["1.1", "2.2", "3.3"]
    assert [each["sequence"] for each in found] == [1, 2, 3]


def test_the_store_opens_again_when_it_was_closed_under_the_page(page):
    found = call(
        page,
        """
        let last;
        const own = indexedDB.open;
        IDBFactory.prototype.open = function (...all) {
          const request = own.apply(indexedDB, all);
          request.addEventListener('success', () => { last = request.result; });
          return request;
        };
        """
        + BEGIN
        + """
        await keep('12.9');
        last.close();
        last.dispatchEvent(new Event('close'));
        await keep('12.8');
        last.close();
        await keep('12.7');
        return (await kept.readings()).map((each) => each.value);
        """,
    )

    assert found == ["12.9", "12.8", "12.7"]


def test_a_new_version_of_the_store_takes_over_and_drops_nothing(page):
    call(page, BEGIN + "await keep('12.9');")
    newer = page.context.new_page()
    newer.goto(page.url)

    told = call(
        page,
        "window.told = []; for (const each of ['newer', 'blocked', 'closed'])"
        " store.happened.addEventListener(each, () => window.told.push(each));",
    )
    found = call(
        bare(newer),
        """
        store.STEPS.push(async (database, change) => {
          const readings = change.objectStore('readings');
          for (const each of await readings.getAll()) {
            await readings.put({...each, later: true});
          }
        });
        return kept.readings();
        """,
    )
    told = page.evaluate("window.told")
    old = call(page, "return kept.readings().catch((problem) => problem.name);")

    assert [(each["value"], each["later"]) for each in found] == [("12.9", True)]
    assert told == ["newer"]
    # The old page says that it is old; what is typed there is not told as kept.
    assert old == "VersionError"


def test_a_step_that_fails_leaves_the_store_as_it_was(page):
    call(page, BEGIN + "await keep('12.9'); await store.close();")

    found = call(
        page,
        """
        store.STEPS.push(async (database, change) => {
          await change.objectStore('readings').clear();
          throw new Error('half done');
        });
        const problem = await kept.readings().catch((each) => each.name);
        store.STEPS.pop();
        return [problem, (await kept.readings()).map((each) => each.value)];
        """,
    )

    assert found == ["AbortError", ["12.9"]]


@pytest.mark.processes
def test_what_is_kept_is_there_after_the_browser_was_killed(phone):
    page = bare(phone.start("/bare"))
    call(page, BEGIN + "await keep('12.9'); await keep('12.8');")

    phone.kill()
    page = bare(phone.start("/bare"))

    assert call(
        page, "return (await kept.readings()).map((r) => [r.value, r.state]);"
    ) == [["12.9", "kept"], ["12.8", "kept"]]


def test_mending_keeps_what_was_typed_before(page: playwright.Page):
    found = call(
        page,
        BEGIN
        + """
        const wrong = await keep('129');
        await keep('12.9', {mends: wrong.reference});
        return (await kept.readings()).map((r) => [r.value, r.state, r.taken_at]);
        """,
    )

    assert [each[:2] for each in found] == [["129", "replaced"], ["12.9", "kept"]]
    assert found[0][2] == found[1][2]


@pytest.mark.long
@pytest.mark.parametrize("dies_while_full", [False, True])
def test_a_store_that_was_full_is_whole_after_the_browser_has_died(
    phone, dies_while_full
):
    own = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=250m", "tmpfs", str(phone.profile)],
        check=False,
        capture_output=True,
    )
    if own.returncode:
        pytest.skip("no disk of its own can be mounted here")
    filled = phone.profile / "filled"
    try:
        page = bare(phone.start("/bare"))
        call(page, "await store.learn();")
        before = call(page, KEEP_MANY, 20)
        with filled.open("wb", buffering=0) as filling:
            size = 1 << 16
            while size >= 512:
                try:
                    filling.write(b"x" * size)
                except OSError:
                    size //= 2
        full = call(page, KEEP_MANY, 300)
        if dies_while_full:
            phone.kill()
        filled.unlink()
        if dies_while_full:
            page = bare(phone.start("/bare"))
            call(page, "await store.learn();")
        after = call(page, KEEP_MANY, 10)
        phone.kill()
        page = bare(phone.start("/bare"))
        found = call(page, "return (await kept.readings()).length;")

        assert (before, after) == (20, 10)
        assert full < 300
        assert found == before + full + after
    finally:
        phone.kill()
        subprocess.run(["umount", "-l", str(phone.profile)], check=False)
