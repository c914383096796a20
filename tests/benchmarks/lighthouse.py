"""What does Lighthouse say of the pages that people open first?

``python -m tests.benchmarks.lighthouse --logins FOLDER/logins.json``

Today, the portfolio and a machine's page of a demo that is being served, as its office
sees them, on Lighthouse's simulated phone with the system's Chromium. The machine is
the one out of service. Needs Node; Lighthouse and what it needs are installed to a
temporary folder, or taken from one that is named, and never belong to the project.
"""

import argparse
import json
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from playwright import sync_api as playwright

VERSION = "12.2.3"
CATEGORIES = ("performance", "accessibility", "best-practices")
OFFICE = "OFFICE"
_TRIES = 3
# What the performance is made of, as the simulated phone sees it.
_NUMBERS = {
    "first_words_ms": "first-contentful-paint",
    "largest_part_ms": "largest-contentful-paint",
    "blocked_ms": "total-blocking-time",
    "server_ms": "server-response-time",
    "bytes": "total-byte-weight",
}
LEAST = {"performance": 95, "accessibility": 100, "best-practices": 95}


def main() -> None:
    """Measure and print; ends with 1 where a page stays below what is asked for."""
    given = _given()
    with tempfile.TemporaryDirectory() as folder:
        program = _program(Path(given.installed or folder))
        found = {
            name: _measured(program, Path(folder), address, cookie)
            for name, address, cookie in _pages(given.address, given.logins)
        }
    sys.stdout.write(json.dumps(found, indent=None if given.json else 2) + "\n")
    below = any(
        page[category] < least
        for page in found.values()
        for category, least in LEAST.items()
    )
    sys.exit(1 if below else 0)


def _given() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--address", default="http://127.0.0.1:8000")
    parser.add_argument("--logins", type=Path, required=True, help="the demo's file")
    parser.add_argument("--installed", help="a folder that has Lighthouse already")
    parser.add_argument("--json", action="store_true")
    return parser.parse_args()


def _program(folder: Path) -> Path:
    program = folder / "node_modules" / ".bin" / "lighthouse"
    if not program.exists():
        subprocess.run(
            [
                *("npm", "install", "--prefix", str(folder)),
                *("--no-save", "--no-audit", "--no-fund", "--ignore-scripts"),
                f"lighthouse@{VERSION}",
            ],
            check=True,
            stdout=subprocess.DEVNULL,
        )
    return program


def _pages(address: str, logins: Path) -> Iterator[tuple[str, str, str]]:
    """Yield each page's name and address, with the cookie of who has logged in."""
    people = json.loads(logins.read_text("utf-8"))["people"].values()
    office = next(each for each in people if each["role"] == OFFICE)
    with playwright.sync_playwright() as driver:
        browser = driver.chromium.launch(
            executable_path="/usr/bin/chromium", args=["--no-sandbox"]
        )
        page = browser.new_page()
        page.goto(f"{address}/log-in?next=/portfolio")
        page.fill("input[name=username]", office["username"])
        page.fill("input[name=password]", office["password"])
        page.keyboard.press("Enter")
        page.wait_for_url(f"{address}/portfolio")
        machine = page.locator("table.lines tbody a").first.get_attribute("href") or ""
        cookie = "; ".join(
            f"{each['name']}={each['value']}"
            for each in page.context.cookies()
            if each["name"] == "sessionid"
        )
        browser.close()
    assert re.fullmatch(r"/machines/\d+", machine), machine
    for name, path in (
        ("today", "/today"),
        ("portfolio", "/portfolio"),
        ("machine", machine),
    ):
        yield name, f"{address}{path}", cookie


def _measured(program: Path, folder: Path, address: str, cookie: str) -> dict[str, Any]:
    """Return the page's scores of 100, and the checks it did not pass."""
    written, headers = folder / "found.json", folder / "headers.json"
    headers.write_text(json.dumps({"Cookie": cookie}), "utf-8")
    asked = [
        *(str(program), address, "--quiet", "--output=json"),
        *(f"--output-path={written}", f"--extra-headers={headers}"),
        f"--only-categories={','.join(CATEGORIES)}",
        "--chrome-flags=--headless=new --no-sandbox",
    ]
    # It may miss the beginning of a page ("NO_NAVSTART") and says to run it again.
    for left in reversed(range(_TRIES)):
        ended = subprocess.run(
            asked,
            check=not left,
            env={"CHROME_PATH": "/usr/bin/chromium", "PATH": "/usr/bin:/bin"},
            stdout=subprocess.DEVNULL,
        )
        if not ended.returncode:
            break
    found = json.loads(written.read_text("utf-8"))
    assert found["finalDisplayedUrl"] == address, found["finalDisplayedUrl"]
    scores = {
        name: round(100 * found["categories"][name]["score"]) for name in CATEGORIES
    }
    measured = {
        name: round(found["audits"][audit]["numericValue"])
        for name, audit in _NUMBERS.items()
    }
    return {**scores, **measured, "not_passed": sorted(_not_passed(found))}


def _not_passed(found: dict[str, Any]) -> Iterator[str]:
    for name in CATEGORIES:
        for part in found["categories"][name]["auditRefs"]:
            score = found["audits"][part["id"]]["score"]
            if part["weight"] and score is not None and score < 1:
                yield f"{part['id']} {score}"


if __name__ == "__main__":
    main()
