"""A browser's long word for itself is told in a word or two."""

import pytest

from fleet.platform.access.browser_names import names_in

# The form is common practice (RFC 9110, 10.1.5 leaves it open); numbers are made up.
APPLE = "AppleWebKit/605.1.15 (KHTML, like Gecko)"
OTHERS = "AppleWebKit/537.36 (KHTML, like Gecko)"
MAC = "(Macintosh; Intel Mac OS X 10_15_7)"
PHONE = "(iPhone; CPU iPhone OS 18_5 like Mac OS X)"
ANDROID = "(Linux; Android 15; K)"
WINDOWS = "(Windows NT 10.0; Win64; x64)"


@pytest.mark.parametrize(
    ("agent", "browser", "system"),
    [
        (f"{WINDOWS} {OTHERS} Chrome/140.0.0.0 Safari/537.36", "Chrome", "Windows"),
        (f"{WINDOWS} {OTHERS} Chrome/140.0 Safari/537.36 Edg/140.0", "Edge", "Windows"),
        (f"{ANDROID} {OTHERS} Chrome/140.0 Mobile Safari/537.36", "Chrome", "Android"),
        (
            f"{ANDROID} {OTHERS} SamsungBrowser/28.0 Chrome/130.0 Mobile Safari/537.36",
            "Samsung Internet",
            "Android",
        ),
        ("(Android 15; Mobile; rv:140.0) Firefox/140.0", "Firefox", "Android"),
        (f"{PHONE} {APPLE} Version/18.5 Mobile/15E148 Safari/604", "Safari", "iPhone"),
        (f"{PHONE} {APPLE} CriOS/140.0 Mobile/15E148 Safari/604", "Chrome", "iPhone"),
        (f"{MAC} {APPLE} Version/18.5 Safari/605.1.15", "Safari", "macOS"),
        (f"(X11; CrOS x86_64) {OTHERS} Chrome/140.0 Safari/537", "Chrome", "ChromeOS"),
        (
            "(X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0",
            "Firefox",
            "Linux",
        ),
        ("curl/8.5.0", "", ""),
        ("", "", ""),
    ],
)
def test_the_mark_that_comes_first_in_the_table_decides(agent, browser, system):
    names = names_in(f"Mozilla/5.0 {agent}")

    assert (names.browser, names.system) == (browser, system)
