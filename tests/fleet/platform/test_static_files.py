"""Files of the pages: compressed for whoever takes it, shown before they are new."""

import gzip
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.test import Client

pytestmark = pytest.mark.django_db
STYLES = "ropeseat/pages.css"


def asked(path=f"/static/{STYLES}", **headers):
    return Client().get(path, headers=headers)


def body(answer):
    """Return what came, and close the file it was read from."""
    try:
        return answer.getvalue()
    finally:
        answer.close()


def stored(name=STYLES):
    with open(finders.find(name), "rb") as file:
        return file.read()


def test_styles_are_compressed_for_a_browser_and_whole_for_others():
    small = asked(accept_encoding="gzip, deflate, br")
    whole = asked(accept_encoding="br")

    assert small["Content-Encoding"] == "gzip"
    assert gzip.decompress(small.content) == stored()
    assert int(small["Content-Length"]) == len(small.content) < len(stored()) / 2
    assert small["Content-Type"].startswith("text/css")
    assert body(whole) == stored()
    assert "Accept-Encoding" in small["Vary"]
    assert "Accept-Encoding" in whole["Vary"]


def test_a_second_browser_gets_the_same_bytes_and_one_that_has_them_gets_none():
    first, second = (asked(accept_encoding="gzip") for _ in range(2))
    again = asked(accept_encoding="gzip", if_none_match=first["ETag"])

    assert first.content == second.content
    assert again.status_code == 304


def test_what_is_small_or_asked_for_in_part_stays_as_it_is():
    icon = asked("/static/ropeseat/icon.svg", accept_encoding="gzip")
    part = asked(accept_encoding="gzip", range="bytes=0-9")

    assert "Content-Encoding" not in icon
    assert body(icon).startswith(b"<svg")
    assert part.status_code == 206
    assert body(part) == stored()[:10]


def test_a_page_is_not_compressed():
    page = asked("/log-in", accept_encoding="gzip")

    assert page.status_code == 200
    assert "Content-Encoding" not in page


def test_a_browser_shows_what_it_has_while_it_asks_but_not_on_the_field_page():
    styles = asked(accept_encoding="gzip")
    script = asked("/static/field/page.js", accept_encoding="gzip")

    assert "stale-while-revalidate" in styles["Cache-Control"]
    assert script["Cache-Control"] == "max-age=60, public"


def test_the_scripts_of_the_field_page_are_under_60_kb_as_they_are_sent():
    size = 0
    for path in Path("inspections/static/field").glob("*.js"):
        answer = asked(f"/static/field/{path.name}", accept_encoding="gzip")
        size += len(answer.content)
        assert gzip.decompress(answer.content) == path.read_bytes()

    assert 20_000 < size < 60_000
