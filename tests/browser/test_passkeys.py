"""A passkey in a real browser, by the authenticator that Chromium plays itself."""

from playwright.sync_api import expect

from fleet.models import SecondFactor
from tests.browser.seen import TECHNICIAN
from tests.browsers import PASSWORD

# A passkey is bound to a name; an address of digits is none (WebAuthn 2, 5.1.3).
_BY_NAME = ("127.0.0.1", "localhost")


def log_in(page, address, person):
    page.goto(f"{address}/log-in?next=/portfolio")
    page.fill("input[name=username]", person.username)
    page.fill("input[name=password]", PASSWORD)
    page.keyboard.press("Enter")


def test_a_passkey_is_made_and_then_asked_for_and_shown(browser, house):
    page = browser.fresh()
    address = house.address.replace(*_BY_NAME)
    person = house.cast.memberships[TECHNICIAN].person
    factors = SecondFactor.objects.usable().filter(person=person)
    told = []
    page.on("pageerror", lambda error: told.append(str(error)))
    device = page.context.new_cdp_session(page)
    device.send("WebAuthn.enable")
    device.send(
        "WebAuthn.addVirtualAuthenticator",
        {
            "options": {
                "protocol": "ctap2",
                "transport": "internal",
                "hasResidentKey": True,
                "hasUserVerification": True,
                "isUserVerified": True,
                "automaticPresenceSimulation": True,
            }
        },
    )
    log_in(page, address, person)
    page.wait_for_url(f"{address}/portfolio")

    page.goto(f"{address}/account/second-factor")
    page.click("button[data-passkey=add]")

    expect(page.locator("#passkey-codes li")).to_have_count(10)
    assert [row.kind for row in factors] == ["PASSKEY"]

    page.context.clear_cookies()
    log_in(page, address, person)
    page.wait_for_url(f"{address}/second-factor**")
    page.click("button[data-passkey=show]")
    page.wait_for_url(f"{address}/portfolio")

    assert factors.get().last_used_at is not None
    assert told == []
