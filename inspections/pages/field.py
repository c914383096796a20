"""The technician's page: a shell that is the same for everyone, kept by the phone.

It holds nothing of anybody. What it shows is drawn by its scripts from what the phone
keeps; who it is, the phone says at the API's doors.
"""

import hashlib
from functools import lru_cache
from pathlib import Path

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.urls import reverse
from django.utils.cache import patch_vary_headers

from fleet.platform.access import content_policy
from fleet.platform.pages.preferences import preferred

_PLACE = "field"
_FOLDER = Path(__file__).parents[1] / "static" / _PLACE
_TEMPLATES = Path(__file__).parents[1] / "templates" / "inspections" / _PLACE
# For whoever reads the scripts: types and licences.
_NOT_SHIPPED = (".d.ts", ".txt", ".md")
# What the page needs beyond other pages: its worker, its manifest, photos just taken.
_POLICY = content_policy.PAGE.replace("img-src 'self'", "img-src 'self' blob:") + (
    "; worker-src 'self'; manifest-src 'self'"
)
# A worker is bound by its own answer's policy: it fetches the shell, and nothing else.
_WORKERS_POLICY = f"{content_policy.NOTHING}; connect-src 'self'"


def shell(request: HttpRequest) -> HttpResponse:
    """Return the page itself, with the language and units of the browser."""
    words = {"preferences": preferred(request), "version": _version()}
    answer = render(request, "inspections/field/shell.html", words)
    answer[content_policy.HEADER] = _POLICY
    answer["Cache-Control"] = "no-cache"
    patch_vary_headers(answer, ("Accept-Language", "Cookie"))
    return answer


def manifest(request: HttpRequest) -> HttpResponse:
    """Return what the phone needs to put the page on its home screen."""
    answer = render(
        request,
        "inspections/field/manifest.webmanifest",
        content_type="application/manifest+json",
    )
    answer["Cache-Control"] = "no-cache"
    patch_vary_headers(answer, ("Accept-Language", "Cookie"))
    return answer


def worker(request: HttpRequest) -> HttpResponse:
    """Return the worker that keeps the shell, and it alone.

    It names the shell's version and its files, so that a browser sees by the bytes when
    any of them has changed.
    """
    files = [static(f"{_PLACE}/{name}") for name in _shell_files()]
    answer = render(
        request,
        "inspections/field/worker.js",
        {"version": _version(), "shell": [reverse("field"), *files]},
        content_type="text/javascript",
    )
    answer[content_policy.HEADER] = _WORKERS_POLICY
    answer["Cache-Control"] = "no-cache"
    answer["Service-Worker-Allowed"] = reverse("field")
    return answer


@lru_cache(maxsize=1)
def _version() -> str:
    """Return the version of the shell: sixteen digits of all its bytes' digest."""
    digest = hashlib.sha256()
    files = [_FOLDER / name for name in _shell_files()]
    for path in (*files, *sorted(_TEMPLATES.iterdir())):
        digest.update(path.name.encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()[:16]


@lru_cache(maxsize=1)
def _shell_files() -> tuple[str, ...]:
    """Return the names of the files that the page is made of, from its folder."""
    paths = (path for path in _FOLDER.rglob("*") if path.is_file())
    names = (path.relative_to(_FOLDER).as_posix() for path in paths)
    return tuple(sorted(n for n in names if not n.endswith(_NOT_SHIPPED)))
