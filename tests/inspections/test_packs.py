"""Packs: what a phone takes along, from the same kinds and bands as the intake's."""

import json
import random
import time
from datetime import date, timedelta
from fractions import Fraction

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone, translation

from fleet.models import Building, Machine
from fleet.platform import units
from fleet.register import registry
from inspections import packs
from inspections.intake import judge as intake
from inspections.kinds import KINDS
from inspections.kinds.bands import bands
from tests import browsers, callers, factories
from tests.access import matrix, people

MOST_BYTES, MOST_S = 500_000, 1.0
# What a place says that is left out where it says nothing.
NOTHING = {"last": None, "reasons": [], "limit": ""}
DOOR = matrix.MATRIX["POST", "api/v1/field/packs"]


# --- one source of bands --------------------------------------------------------------
def of_pack(item, text, unit):
    """Judge as the phone does: by nothing but what the pack says."""
    top, bottom = map(int, item["units"][unit])
    value = units.read_number(text) * Fraction(top, bottom)
    number = value.numerator / value.denominator
    acts = []
    for band in item["bands"]:
        near = abs(number - band["at"]) <= max(
            1e-9 * max(abs(number), abs(band["at"])), 1e-9
        )
        if band["end"] == "at_or_below":
            beyond = number <= band["at"]
        elif near:
            beyond = band["unsafe"]
        else:
            beyond = (band["end"] == "below") == (number < band["at"])
        if beyond:
            acts.append((band["end"], band["acts"]))
    usual = [act for end, act in acts if end != "at_or_below"][:1]
    return bool([a for _, a in acts if a == "stop"]), usual


@pytest.mark.parametrize("diameter", [13.0, 11.05, None])
def test_the_intake_says_what_a_packs_bands_say(diameter):
    """10,000 random readings, those at the very ends among them."""
    chance = random.Random(16)
    names = {"UNCONFIRMED": ["again"], "HELD": ["hold"], "STORED": []}
    for kind in (kind for kind in KINDS.values() if not kind.is_worded):
        found = bands(kind=kind, rope_diameter_mm=diameter)
        item = {
            "units": packs_factors(kind.quantity),
            "bands": [
                {"end": b.end, "at": b.at, "unsafe": b.unsafe, "acts": b.acts}
                for b in found
            ],
        }
        ends = [band.at for band in found] or [1.0]
        for _ in range(80):
            unit = chance.choice(list(item["units"]))
            top, bottom = map(int, item["units"][unit])
            about = min(chance.choice(ends), 1e6) * bottom / top
            typed = chance.choice(
                [f"{about:.6f}", f"{chance.uniform(-2, 3) * (about or 1.0):.3f}"]
            )
            value = units.to_canonical(text=typed, unit=unit, quantity=kind.quantity)

            said = intake.judge(
                kind=kind, value=value, word="", rope_diameter_mm=diameter
            )

            stops, state = of_pack(item, typed, unit)
            where = (kind.code, typed, unit)
            assert (bool(said.stop), names[said.state]) == (stops, state), where


def packs_factors(quantity):
    from inspections.packs.items import _factors

    return _factors(quantity)


def test_every_unsafe_word_is_in_the_pack_as_the_intake_takes_it():
    for kind in (kind for kind in KINDS.values() if kind.is_worded):
        found = {b.at: b.acts for b in bands(kind=kind, rope_diameter_mm=13.0)}
        for word in kind.words:
            said = intake.judge(kind=kind, value=None, word=word, rope_diameter_mm=13)
            told = "stop" if said.stop else "tell" if said.warning else None
            assert found.get(word) == told, (kind.code, word)


# --- packs ----------------------------------------------------------------------------
@pytest.fixture
def north(db, monkeypatch):
    monkeypatch.setattr("celery.current_app.send_task", lambda *_, **__: None)
    return factories.cast(code="north")


def estate(cast, machines):
    """Give a contractor machines that were measured once."""
    callers.confine(cast)
    building = Building.objects.get(code="mill-house")
    for number in range(machines):
        code = f"L-{number}"
        entry = factories.undercut_machine() | {"code": code}
        registry._register_machine(building=building, entry=entry)
    rows = Machine.objects.filter(code__startswith="L-")
    return list(rows.order_by("pk").values_list("pk", flat=True))


def measured(cast, code="MH-1"):
    readings = [
        {"kind": "rope_diameter", "rope": n, "value": "12.8", "unit": "mm"}
        for n in range(1, 6)
    ]
    for number, reading in enumerate(readings):
        reading |= {"reference": f"{code}-{number}", "place": {"direction": "1"}}
    body = factories.upload(*readings, machine=code, reference=f"v-{code}")
    assert callers.upload(cast, body).status_code == 207


def made(cast, ids, **how):
    callers.confine(cast)
    given = {"minutes": 30, "family": "METRIC", "as_of": timezone.now()} | how
    return packs.make(scope=cast.scope("TECHNICIAN"), machine_ids=ids, **given)


def whole(found, number=0, visit="ROUTINE"):
    """Return a machine's items as a phone puts them together."""
    pack = found["machines"][number]
    [own] = [v for v in pack["visit_kinds"] if v["kind"] == visit]
    steps = (*own["more"], *own["steps"])
    items = [item for step in steps for item in step["items"]]
    return {
        item["kind"]: {
            **found["kinds"][item["kind"]],
            **item,
            "places": [NOTHING | item["every"] | p for p in item["places"]],
            "bands": [
                {"words": found["band_words"].get(band["acts"]), **band}
                for band in item.get("bands", found["kinds"][item["kind"]]["bands"])
            ],
        }
        for item in items
    }


def test_twenty_machines_take_as_many_queries_as_two_and_little_room(north):
    ids = estate(north, 20)
    for number in range(20):
        measured(north, f"L-{number}")
    with CaptureQueriesContext(
        connection,
    ) as few:
        made(north, ids[:2])
    # What this process works, so that others beside it make no difference.
    began = time.process_time()
    with CaptureQueriesContext(connection) as many:
        found = made(north, ids)
    took_s = time.process_time() - began
    size = len(json.dumps(found, default=str, separators=(",", ":")).encode())

    assert len(found["machines"]) == 20
    assert len(many) == len(few)
    assert size < MOST_BYTES, (size, took_s, len(many))
    assert took_s < MOST_S


def test_a_pack_says_what_to_read_where_and_what_it_was(north):
    measured(north)
    callers.confine(north)
    machine = factories.machine(north.scope())

    found = made(north, [machine.pk])

    [pack] = found["machines"]
    assert (pack["code"], pack["building"]) == ("MH-1", "Mill House")
    assert pack["plate"].startswith("1000 kg, 1.6 m/s")
    assert pack["ropes"] == [1, 2, 3, 4, 5]
    assert pack["fitted"]["rope_set"] == factories.FITTED
    diameter = whole(found)["rope_diameter"]
    assert len(diameter["places"]) == 10
    first = diameter["places"][0]
    assert (first["number"], first["place"]["direction"]) == (1, "1")
    assert first["last"] == {
        "value": 12.8,
        "unit": "mm",
        "word": "",
        "on": date(2026, 5, 4),
    }
    assert diameter["units"]["in"] == ["127", "5"]
    assert [b["acts"] for b in diameter["bands"]] == ["again", "hold", "stop"]
    # 6 % thinner than nominal is the limit of this machine's criteria.
    assert diameter["bands"][2]["at"] == pytest.approx(0.94 * 13.0)
    assert diameter["bands"][0]["at"] == pytest.approx(0.85 * 13)


def test_a_pack_is_in_the_readers_language_and_units(north):
    callers.confine(north)
    machine = factories.machine(north.scope())
    with translation.override("de"):
        found = made(north, [machine.pk], family="INCH")
        metric = made(north, [machine.pk])
    with translation.override("en"):
        english = made(north, [machine.pk], family="INCH")
    named, plain = whole(found), whole(english)
    assert metric["machines"][0]["plate"].startswith("1000 kg, 1,6 m/s")

    assert named["rope_diameter"]["unit"] == "in"
    [pack], [plainly] = found["machines"], english["machines"]
    assert pack["plate"].startswith("2205 lb, 315 ft/min")
    assert pack["plate"] != plainly["plate"]
    for code, item in named.items():
        assert item["name"] != plain[code]["name"], code
        assert (
            item["bands"] == []
            or item["bands"][0]["words"] != (plain[code]["bands"][0]["words"])
        )
    for key in ("stop_words", "told_words"):
        assert found[key] != english[key]
    assert set(found["cautions"]).isdisjoint(english["cautions"])


def test_without_a_diameter_a_pack_says_that_it_does_not_check(north):
    callers.confine(north)
    machine = factories.machine(north.scope())
    sets = machine.rope_sets.all()
    for row in sets:
        row.retired_on = date(2026, 1, 1)
        row.save()

    found = made(north, [machine.pk])

    assert found["machines"][0]["ropes"] == []
    blind = {k for k, item in whole(found).items() if item["not_checked"]}
    assert blind
    assert all(KINDS[k].low.per_diameter or KINDS[k].high.per_diameter for k in blind)


# --- the doors ------------------------------------------------------------------------
def test_a_phone_takes_packs_and_is_told_what_is_gone(north):
    phone = people.by_phone(north)
    callers.confine(north)
    here = factories.machine(north.scope())
    gone = factories.machine(north.scope(), "QC-1")
    gone.retired_on = timezone.now().date() - timedelta(days=1)
    gone.save()
    body = {
        "machines": [gone.pk, here.pk, people.ABSENT],
        "language": "de",
        "unit_family": "INCH",
    }
    door = matrix.replace(DOOR, body=body)

    answer = phone.ask("POST", "api/v1/field/packs", door).json()
    listed = phone.ask("GET", "api/v1/field/machines?q=mill", DOOR).json()
    assert "results" in listed, listed

    assert [pack["id"] for pack in answer["machines"]] == [here.pk]
    assert answer["absent"] == [
        {"id": gone.pk, "code": "machine-retired"},
        {"id": people.ABSENT, "code": "not-found"},
    ]
    assert [row["code"] for row in listed["results"]] == ["MH-1"]


def test_a_reading_says_on_which_phone_it_was_typed_and_in_which_order(north):
    phone = people.by_phone(north)
    reading = {"value": "12.8", "unit": "mm", "sequence": 7, "clock_offset_s": -3600}
    factories.forget_tenant()
    sent = phone.browser.post(
        "/api/v1/uploads",
        factories.upload(reading),
        content_type="application/json",
        headers={**phone.headers, "Origin": people.OWN},
    )
    [outcome] = sent.json()["readings"]
    office = browsers.confirmed(north.memberships["OFFICE"].person)

    page = browsers.get(office, f"/readings/{outcome['id']}").content.decode()

    assert outcome["outcome"] == "stored"
    assert "<bdi>a phone</bdi>, its reading 7, clock put right by -3600 s" in page


@pytest.mark.parametrize(
    ("name", "value"),
    [("sequence", -1), ("sequence", "1"), ("clock_offset_s", "an hour")],
)
def test_an_order_or_a_clock_that_cannot_be_is_refused_in_words(north, name, value):
    reading = {"value": "12.8", "unit": "mm", name: value}

    [outcome] = callers.upload(north, factories.upload(reading)).json()["readings"]

    assert outcome["outcome"] == "refused"
    assert outcome["problem"]["pointer"].endswith(f"/{name}")
