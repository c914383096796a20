"""Every door of the service, found by a walk over the resolver of addresses."""

from collections.abc import Iterator
from typing import Any

from django.urls import URLPattern, URLResolver, get_resolver

# A view that is no class of the API takes what it takes; it is tried as it is.
ANY = "ANY"
_UNSAFE = ("post", "put", "patch", "delete")
_IDS = ("(?P<pk>[0-9]{1,18})", "(?P<pk>[^/.]+)", "<int:pk>", "<path:object_id>")


def doors() -> Iterator[tuple[str, str]]:
    """Return each method with its address, an id written as <pk>."""
    for path, pattern in _patterns(get_resolver(), ""):
        for method in _methods(pattern.callback):
            yield method, path


def classes() -> set[Any]:
    """Return the class of each view of the API."""
    patterns = (pattern for _, pattern in _patterns(get_resolver(), ""))
    found = {getattr(pattern.callback, "cls", None) for pattern in patterns}
    return found - {None}


def _patterns(resolver: Any, prefix: str) -> Iterator[tuple[str, URLPattern]]:
    for entry in resolver.url_patterns:
        path = prefix + _plain(str(entry.pattern))
        if isinstance(entry, URLResolver):
            yield from _patterns(entry, path)
        else:
            yield path, entry


def _plain(pattern: str) -> str:
    found = pattern.removeprefix("^").removesuffix("\\Z").removesuffix("$")
    for written in _IDS:
        found = found.replace(written, "<pk>")
    return found.replace(r"(?P<key>[-\w.]{1,120})", "<key>")


def _methods(view: Any) -> list[str]:
    """Return the methods that a view of the API takes; ANY for another view."""
    cls = getattr(view, "cls", None)
    if cls is None:
        return [ANY]
    taken = getattr(view, "actions", None) or {
        name: name for name in ("get", *_UNSAFE) if hasattr(cls, name)
    }
    wanted = [name for name in ("get", *_UNSAFE) if name in taken]
    return [name.upper() for name in wanted if name in cls.http_method_names]
