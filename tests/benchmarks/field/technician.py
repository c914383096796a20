"""A technician with a phone: types, sees ticks, and believes nothing else.

Everything is done from outside the page, by keys and touches; what counts as kept is
what a tick on the screen has said.
"""

import random
from collections import Counter
from dataclasses import dataclass, field

from playwright import sync_api as playwright

from tests.browser.field.phone import Phone, until

_PATIENCE_MS = 10_000
_ROW = "ul.grid > li"
_FILL = "filled"
# Value and place of what a field asks for, and whether its tick is there already.
_FIELDS = """
() => [...document.querySelectorAll('ul.grid > li')].map((row, n) => {
  const tick = row.querySelector('output.tick');
  const [kind, number, place] = tick.dataset.id.split('|');
  const shut = !row.offsetParent;
  const unit = row.querySelector('input.value')?.dataset.unit ?? null;
  const complete = unit === 'mm';
  return {n, kind, number, place, unit, complete, shut, tick: tick.textContent};
})
"""

# A list is opened by one touch, and its line is touched.
_CHOICE = 2
_SEEN = "() => { document.querySelector('#told').className = 'seen'; }"

# The second of two requests: the first also loads what the server has not used yet.
_COST = """
async (most) => {
  const {pairing} = await import('/static/field/server.js');
  const headers = {'Ropeseat-Phone': String((await pairing()).phone),
    'Content-Type': 'application/json'};
  const all = await (await fetch('/api/v1/field/machines', {headers})).json();
  const machines = all.results.slice(0, most).map((each) => each.id);
  const body = JSON.stringify({machines, minutes: 30});
  let begun, bytes;
  for (let n = 0; n < 2; n += 1) {
    begun = performance.now();
    const answer = await fetch('/api/v1/field/packs', {method: 'POST', headers, body});
    bytes = (await answer.arrayBuffer()).byteLength;
  }
  return {pack_of: machines.length, pack_ms: Math.round(performance.now() - begun),
    pack_kb: Math.round(bytes / 1000)};
}
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """What a tick on a screen has said is kept."""

    machine: str
    kind: str
    number: str
    place: str
    value: str


@dataclass
class Technician:
    """One phone and what its owner has seen."""

    phone: Phone
    machines: list[str]
    chance: random.Random
    ticks: set[Tick] = field(default_factory=set)
    typed: set[Tick] = field(default_factory=set)
    # Keys and touches beyond the digits, by what they were for.
    spent: Counter[str] = field(default_factory=Counter)
    digits: int = 0
    visits: dict[str, str] = field(default_factory=dict)
    page: playwright.Page | None = None
    refused_for_room: int = 0
    unkept: int = 0
    _count: int = 0

    @property
    def strokes(self) -> int:
        return self.spent.total()

    @property
    def screen(self) -> playwright.Page:
        assert self.page is not None
        return self.page

    def pair(self, code: str) -> None:
        """Pair, and fetch the day's machines."""
        self.page = self.phone.start("/field/")
        self.screen.get_by_label("Code").fill(code)
        self.screen.get_by_role("button", name="Pair").click()
        self.screen.wait_for_selector("input[type=checkbox]")
        for machine in self.machines:
            self.screen.get_by_label(f"{machine} ", exact=False).first.check()
        self.screen.get_by_role("button", name="Fetch for the day").click()
        self.screen.wait_for_selector("ul.list a.way")
        # The page is kept by its worker before the cellar is entered.
        self.screen.evaluate("() => navigator.serviceWorker.ready.then(() => true)")
        until(
            self.screen,
            "() => caches.keys().then(async (names) => {"
            " const shell = names.find((each) => each.includes('shell'));"
            " const cache = shell && await caches.open(shell);"
            " return cache && (await cache.keys()).length > 20; })",
        )

    def cost_of_pack(self, machines: int) -> dict[str, float]:
        """Return the time and size of one request for so many machines."""
        found: dict[str, float] = self.screen.evaluate(_COST, machines)
        return found

    def wake(self, *, signal: bool) -> None:
        """Start the browser again, with or without signal; the page goes on."""
        self.page = self.phone.start("")
        self.signal(signal)
        self.screen.goto(f"{self.phone.address}/field/")
        self.screen.wait_for_selector("#head nav")

    def die(self) -> None:
        """The phone falls: every process of its browser is gone at once."""
        self.phone.kill()
        self.page = None

    def rest(self) -> None:
        """Close the browser in order: its cookie is on the disk."""
        self.phone.close()
        self.page = None

    def signal(self, there: bool) -> None:
        """Enter or leave the cellar."""
        self.screen.context.set_offline(not there)

    def begin(self, machine: str) -> None:
        """Confirm the plate and begin a visit, or go on with the one that began."""
        page = self.screen
        here = page.evaluate("() => location.hash")
        if here != self.visits.get(machine, "-"):
            if here not in ("", "#/"):
                self._touch(page.get_by_role("link", name="Today", exact=True))
            if machine in self.visits:
                # Today's visits are listed by their machine and hour.
                self._touch(page.locator(f"a.way[href='{self.visits[machine]}']").first)
            else:
                self._touch(page.locator("ul.list a.way", has_text=machine).first)
                self._touch(page.locator("button.main").first)
                page.wait_for_function("() => location.hash.startsWith('#/visit/')")
                self.visits[machine] = page.evaluate("() => location.hash")
        page.wait_for_selector(_ROW)
        for place in page.locator("section.item > label > select:visible").all():
            if not place.input_value():
                place.select_option(index=1)
                self.spent["beside a grid"] += _CHOICE
        self._see(machine)

    def _touch(self, wanted: playwright.Locator) -> None:
        wanted.click()
        self.spent["way to a visit"] += 1

    def _see(self, machine: str) -> None:
        """Count what a tick says that was typed before the phone fell."""
        for shown in self.screen.evaluate(_FIELDS):
            if shown["tick"]:
                self.ticks.add(self._tick(machine, shown, _said(shown["tick"])))

    def _tick(self, machine: str, shown: dict, value: str) -> Tick:
        return Tick(
            machine=machine,
            kind=shown["kind"],
            number=shown["number"],
            place=shown["place"],
            value=value,
        )

    def open_fields(self) -> list[dict]:
        """Return the fields that have no tick yet."""
        return [
            shown
            for shown in self.screen.evaluate(_FIELDS)
            if not shown["tick"] and not shown["shut"] and shown["unit"] is not None
        ]

    def type_next(self, machine: str, shown: dict, *, fall_after_ms: float | None):
        """Type one reading; with a time, the phone falls so long after the last key.

        Return whether a tick was seen.
        """
        page = self.screen
        self._count += 1
        value = self._value(shown)
        row = page.locator(_ROW).nth(shown["n"])
        box = row.locator("input.value")
        if not box.evaluate("(box) => box === document.activeElement"):
            box.click()
            self.spent["field"] += 1
        if box.input_value():
            box.fill("")
            self.spent["emptied"] += 1
        self._choose_gauge(box)
        # What was said of the reading before this one is no answer to this one.
        page.evaluate(_SEEN)
        page.keyboard.type(value)
        self.digits += sum(sign.isdigit() for sign in value)
        # A decimal mark is a key like any other.
        self.spent["decimal mark"] += sum(not sign.isdigit() for sign in value)
        self.typed.add(self._tick(machine, shown, value))
        if not shown["complete"]:
            page.keyboard.press("Enter")
            self.spent["kept by a key"] += 1
        if fall_after_ms is not None:
            page.wait_for_timeout(fall_after_ms)
            self.die()
            return False
        told = row.locator("output.tick", has_text=value).or_(
            page.locator("#told.stop")
        )
        told.first.wait_for(timeout=_PATIENCE_MS)
        if value not in row.locator("output.tick").inner_text():
            self.unkept += 1
            return False
        self.ticks.add(self._tick(machine, shown, value))
        return True

    def again(self, machine: str, shown: dict) -> None:
        """Keep by one key what still stands in its field."""
        row = self.screen.locator(_ROW).nth(shown["n"])
        box = row.locator("input.value")
        value = box.input_value()
        box.press("Enter")
        self.spent["kept by a key"] += 1
        row.locator("output.tick", has_text=value).wait_for(timeout=_PATIENCE_MS)
        self.ticks.add(self._tick(machine, shown, value))

    def _value(self, shown: dict) -> str:
        """Return a value that this phone types at no other time into this field."""
        if shown["unit"] == "1":
            return str(self._count % 40)
        return f"{10 + self._count % 1500 / 100:.2f}"

    def _choose_gauge(self, box: playwright.Locator) -> None:
        """Say once for each kind what it is read with."""
        keys = self.screen.locator(".keys")
        chosen = keys.get_by_label("Gauge", exact=True).input_value()
        if box.get_attribute("data-unit") == "mm" and not chosen:
            keys.get_by_label("Gauge: calliper").click()
            self.spent["gauge"] += 1

    def send(self) -> None:
        """Have signal, and wait until the page says that nothing waits."""
        page = self.screen
        page.evaluate("() => window.dispatchEvent(new Event('online'))")

    def has_sent(self, *, within_ms: int = 60_000) -> None:
        """Wait until the page says that all is sent, asking it now and then."""
        page = self.screen
        end = within_ms // 1500
        for _ in range(end):
            self.send()
            try:
                page.wait_for_function(
                    "() => /All sent/.test(document.querySelector('#head').innerText)",
                    timeout=1500,
                )
            except playwright.TimeoutError:
                continue
            return
        said = page.inner_text("body")[:600]
        raise TimeoutError(f"not sent: {said}")

    def fill(self) -> None:
        """Leave the phone's disk no room at all."""
        size = 1 << 16
        with (self.phone.profile / _FILL).open("wb", buffering=0) as filling:
            while size >= 512:
                try:
                    filling.write(b"x" * size)
                except OSError:
                    size //= 2

    def free(self) -> None:
        """Give the phone's disk its room back."""
        (self.phone.profile / _FILL).unlink()


def _said(tick: str) -> str:
    """Return the value that a tick says."""
    return tick.removeprefix("\u2713 ").split(" ")[0]
