"""Nothing is lost or sent twice, whatever the server or the line does."""

import base64
import hashlib
import json

import pytest

from tests.browser.field.phone import bare, call
from tests.browser.field.test_store import BEGIN, KEEP, VISIT

STATES = "return (await kept.readings()).map((each) => [each.value, each.state]);"
SEND = "await outbox.send();"


def test_a_visit_is_sent_once_with_its_key_and_its_digest(page, stub):
    found = call(
        page, BEGIN + "await keep('12.9'); await keep('12.8');" + SEND + STATES
    )

    upload = stub.uploads[0]
    body = json.loads(upload["body"])
    digest = base64.b64encode(hashlib.sha256(upload["body"]).digest()).decode()
    assert found == [["12.9", "stored"], ["12.8", "stored"]]
    assert len(stub.uploads) == 1
    assert upload["digest"] == f"sha-256=:{digest}:"
    assert [r["value"] for r in body["visits"][0]["readings"]] == ["12.9", "12.8"]
    assert body["visits"][0]["machine"] == "MH-1"


def test_a_lost_answer_is_asked_for_again_with_the_same_bytes(page, stub):
    call(page, BEGIN + "await keep('12.9'); await server.contact();")
    # The contact before it is answered, the answer to the upload is lost.
    stub.faults += [None, "lost"]

    before = call(page, SEND + STATES)
    after = call(page, SEND + STATES)

    assert (before, after) == ([["12.9", "frozen"]], [["12.9", "stored"]])
    assert len(stub.uploads) == 2
    assert stub.uploads[0] == stub.uploads[1]
    assert len(stub.readings) == 1


@pytest.mark.parametrize(
    ("status", "code", "forgets"),
    [(401, "phone-revoked", True), (401, "not-authenticated", False), (403, "", False)],
)
def test_a_refusal_of_the_person_deletes_nothing_unsent(
    page, stub, status, code, forgets
):
    call(page, BEGIN + "await keep('12.9');")
    call(
        page,
        "await store.change(['packs'], (t) => t.objectStore('packs').put({id: 1}));",
    )
    stub.faults += [None, (status, code)]

    found = call(page, SEND + STATES)
    packs = call(
        page, "return store.look(['packs'], (t) => t.objectStore('packs').count());"
    )

    assert found == [["12.9", "frozen"]]
    assert packs == (0 if forgets else 1)
    assert call(page, SEND + STATES) == [["12.9", "stored"]]


def test_another_persons_pairing_sends_nothing_of_what_one_typed(page, stub):
    call(page, BEGIN + "await keep('12.9'); await keep('12.8');")
    own = dict(stub.pairs)
    stub.faults.append(None)
    call(page, "await outbox.freeze(await server.holder());")
    call(page, "await kept.keep({...(await kept.readings())[0], value: '12.7'});")

    stub.pairs = {**own, "phone": 8, "person": {"id": 4, "name": "Ada Kowalska"}}
    call(page, "await server.pair('x', 'y');")
    call(page, VISIT + KEEP + "await keep('14.1');" + SEND)

    assert [r["value"] for r in stub.readings.values()] == ["14.1"]
    stub.pairs = own
    found = call(page, "await server.pair('x', 'y');" + SEND + STATES)
    assert sorted(found) == [[v, "stored"] for v in ("12.7", "12.8", "12.9", "14.1")]


def test_two_tabs_send_once(page, stub):
    other = page.context.new_page()
    other.goto(page.url)
    call(page, BEGIN + "for (let n = 1; n < 40; n += 1) await keep(`12.${n}`);")

    both = "window.going = (async () => { await window.field.outbox.send(); })();"
    page.evaluate(f"() => {{ {both} }}")
    bare(other).evaluate(f"() => {{ {both} }}")
    page.evaluate("() => window.going")
    other.evaluate("() => window.going")

    assert len(stub.uploads) == 1
    assert len(stub.readings) == 39


def test_what_a_restored_server_lacks_is_sent_again_under_its_reference(page, stub):
    call(page, BEGIN + "await keep('12.9'); await keep('12.8');" + SEND)
    before = dict(stub.readings)
    stub.readings.clear()
    stub.answers.clear()

    call(page, SEND)

    assert stub.readings == before
    assert stub.uploads[0]["key"] != stub.uploads[1]["key"]


def test_a_refused_reading_is_mended_in_place_and_sent_again(page, stub):
    stub.outcomes["129"] = {"outcome": "refused", "problem": {"detail": "too thick"}}
    found = call(
        page,
        BEGIN
        + """
        const wrong = await keep('129');
        await keep('12.8');
        await outbox.send();
        const [refused] = await kept.readings();
        await keep('12.9', {mends: wrong.reference});
        await outbox.send();
        return [refused.state, refused.problem];
        """,
    )

    assert found == ["refused", "too thick"]
    assert [r["value"] for r in stub.readings.values()] == ["12.8", "12.9"]
    assert all("corrects" not in r for r in stub.readings.values())


def test_mending_what_the_server_has_is_a_correction(page, stub):
    call(
        page,
        BEGIN
        + """
        const wrong = await keep('12.8');
        await outbox.send();
        await keep('12.9', {mends: wrong.reference});
        await outbox.send();
        """,
    )

    first, second = stub.readings.values()
    assert second["corrects"] == first["reference"]
    assert second["note"]


def test_mending_what_is_under_way_waits_for_what_became_of_it(page, stub):
    stub.faults += [None, None, "lost"]
    states = call(
        page,
        BEGIN
        + """
        const wrong = await keep('12.8');
        await outbox.send();
        await keep('12.9', {mends: wrong.reference});
        await outbox.freeze(await server.holder());
        """
        + STATES,
    )
    call(page, SEND)

    first, second = stub.readings.values()
    assert states == [["12.8", "frozen"], ["12.9", "kept"]]
    assert second["corrects"] == first["reference"]


def test_a_wrong_clock_is_set_right_and_one_that_was_set_meanwhile_holds(page, stub):
    stub.behind_s = 3600
    call(page, BEGIN + "await server.contact(); await keep('12.9');" + SEND)
    sent = call(
        page,
        "const [r] = await kept.readings();"
        " return Date.parse(given[0]) - Date.parse(r.taken_at);",
        next(iter(stub.readings.values()))["taken_at"],
    )
    call(page, VISIT + KEEP + "await keep('12.8');")
    stub.behind_s = 0
    held = call(
        page, SEND + "return (await kept.readings()).map((r) => [r.state, r.problem]);"
    )

    assert abs(sent - 3_600_000) < 2_000
    assert held == [["stored", ""], ["kept", "clock-moved"]]
    call(
        page,
        "const [visit] = await kept.visits();"
        "await kept.changeVisit(visit.reference, {visited_at: visit.begun_at});" + SEND,
    )
    assert len(stub.readings) == 2


def test_a_reading_from_before_the_part_was_fitted_is_held(page, stub):
    fitted = "{sheave: '2020-01-01', rope_set: '2999-01-01'}"
    put = f"t.objectStore('packs').put({{id: 1, fitted: {fitted}}})"
    found = call(
        page,
        BEGIN
        + f"await store.change(['packs'], (t) => {put});"
        + "await keep('12.9'); await keep('3.1', {number_by: 'groove'});"
        + SEND
        + "return (await kept.readings()).map((r) => [r.state, r.problem]);",
    )

    assert found == [["kept", "before-fitted"], ["stored", ""]]


def test_an_answer_that_is_not_understood_is_no_proof(page, stub):
    stub.outcomes["12.9"] = {"outcome": "filed"}

    found = call(
        page,
        BEGIN
        + "await keep('12.9');"
        + SEND
        + "return (await kept.readings()).map((r) => [r.state, r.problem]);",
    )

    assert found == [["refused", "answer-not-understood"]]


def test_a_visit_at_the_wrong_machine_moves_as_a_whole_until_it_was_sent(page, stub):
    moved = call(
        page,
        BEGIN
        + """
        await keep('12.9'); await keep('12.8');
        const to = {machine: {id: 2, code: 'QC-1'}};
        const first = await kept.changeVisit(visit.reference, to);
        await outbox.send();
        const machines = (await kept.readings()).map((each) => each.machine);
        const back = {machine: {id: 1, code: 'MH-1'}};
        return [first, machines, await kept.changeVisit(visit.reference, back)];
        """,
    )

    body = json.loads(stub.uploads[0]["body"])
    assert body["visits"][0]["machine"] == "QC-1"
    assert moved == [True, [2, 2], False]


def test_what_was_sent_stays_until_no_backup_lacks_it(page, stub):
    call(page, BEGIN + "await keep('12.9'); await keep('12.8');" + SEND)
    offered = stub.contacts[-1]["kept"]
    # The server's clock goes on: a day short of the horizon, then past it.
    stub.behind_s = 13 * 86_400
    before = call(page, SEND + STATES)
    stub.behind_s = 15 * 86_400
    after = call(page, SEND + STATES)

    assert offered == []
    assert stub.contacts[-1]["kept"] == stub.contacts[-2]["kept"] == list(stub.readings)
    assert before == [["12.9", "stored"], ["12.8", "stored"]]
    assert after == []


def test_what_is_unsent_is_never_too_old(page, stub):
    call(page, BEGIN + "await keep('12.9'); await server.contact();")
    stub.outcomes["12.8"] = {"outcome": "refused", "problem": {"detail": "no"}}
    call(page, "await kept.keep({...(await kept.readings())[0], value: '12.8'});")
    call(page, SEND)
    call(page, VISIT + KEEP + "await keep('12.7');")
    stub.behind_s = 1_000 * 86_400

    found = call(page, "await server.contact();" + STATES)

    assert found == [["12.8", "refused"], ["12.7", "kept"]]


def test_a_batch_is_on_storage_before_it_leaves(page, stub):
    seen = call(
        page,
        BEGIN
        + """
        const own = window.fetch;
        const seen = [];
        window.fetch = async (path, how) => {
          if (path === '/api/v1/uploads') {
            const all = await store.look(['batches'], (t) =>
              t.objectStore('batches').getAll());
            const text = (bytes) => new TextDecoder().decode(bytes);
            seen.push(all.map((each) => [each.state, `"${each.key}"`
              === how.headers['Idempotency-Key'], text(each.bytes)
              === text(how.body)]));
          }
          return own(path, how);
        };
        await keep('12.9'); await outbox.send(); return seen;
        """,
    )

    assert seen == [[["waiting", True, True]]]


def test_readings_go_in_the_order_of_typing_whatever_the_clock_says(page, stub):
    call(
        page,
        BEGIN
        + """
        await keep('12.9');
        const own = Date;
        window.Date = class extends own {
          constructor(...given) {
            super(...(given.length ? given : [own.now() - 200_000]));
          }
        };
        await keep('12.8');
        window.Date = own;
        await keep('12.7'); await outbox.send();
        """,
    )

    sent = list(stub.readings.values())
    assert [each["value"] for each in sent] == ["12.9", "12.8", "12.7"]
    assert [each["sequence"] for each in sent] == sorted(
        each["sequence"] for each in sent
    )
    assert sent[1]["taken_at"] < sent[0]["taken_at"]
    # How far the phone was from the server's clock goes with each reading.
    assert all(abs(each["clock_offset_s"]) <= 5 for each in sent)


PHOTO = """
const picture = (name) => store.change(['photos'], async (t) =>
  t.objectStore('photos').add({reference: name, sequence: 1, visit: visit.reference,
    holder, caption: 'groove 1', bytes: new TextEncoder().encode(name).buffer,
    media_type: 'image/jpeg', state: 'kept'}));
const photos = async () => (await store.look(['photos'], (t) =>
  t.objectStore('photos').getAll())).map((each) => [each.reference, each.state]);
"""


def test_a_photo_stays_until_no_backup_lacks_it_and_is_sent_again(page, stub):
    begun = BEGIN + PHOTO + "await picture('p-1'); await keep('12.9');"
    went = call(page, begun + "await outbox.sendPhotos(); return photos();")
    assert (went, stub.photos) == ([["p-1", "kept"]], [])

    again = "const holder = await server.holder(); const [visit] = await kept.visits();"
    ask = again + PHOTO + SEND + "await outbox.sendPhotos(); return photos();"
    assert call(page, ask) == [["p-1", "stored"]]
    stub.kept_photos.clear()
    assert call(page, ask) == [["p-1", "stored"]]
    assert stub.photos == [b"p-1", b"p-1"]
    stub.behind_s = 15 * 86_400
    assert call(page, ask) == []
    assert len(stub.photos) == 2


def test_no_photo_goes_while_its_visits_readings_wait(page, stub):
    # Paired, heard, stored; then heard, and not stored.
    stub.faults += [None, None, None, None, (503, "busy")]
    found = call(
        page,
        BEGIN
        + PHOTO
        + """
        await keep('12.9'); await outbox.send();
        await picture('p-1'); await keep('12.8'); await outbox.send();
        await outbox.sendPhotos(); return photos();
        """,
    )

    assert found == [["p-1", "kept"]]
    assert stub.photos == []


def test_sent_photos_give_their_room_to_new_ones_the_oldest_first(page, stub):
    found = call(
        page,
        BEGIN
        + PHOTO
        + """
        await keep('12.9'); await picture('p-1'); await picture('p-2');
        await outbox.send(); await outbox.sendPhotos();
        const {makeRoom} = await import('/static/field/pictures.js');
        return [await makeRoom(), await photos(), await makeRoom(), await photos(),
          await makeRoom()];
        """,
    )

    assert found == [True, [["p-2", "stored"]], True, [], False]


@pytest.mark.processes
def test_a_browser_killed_while_it_sends_sends_the_same_bytes_again(phone, stub):
    page = bare(phone.start("/bare"))
    call(page, BEGIN + "await keep('12.9');")
    stub.faults += [None, "lost"]
    call(page, SEND)

    phone.kill()
    page = bare(phone.start("/bare"))

    assert call(page, SEND + STATES) == [["12.9", "stored"]]
    assert stub.uploads[0] == stub.uploads[1]
    assert len(stub.readings) == 1
