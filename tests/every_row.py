"""A check of every row of a table as one test, which names each row that fails.

Thousands of tests that take no time would take most of their time to be handed out.
"""

import inspect
from collections.abc import Callable, Iterable
from typing import Any


def of_each(
    name: str, rows: Iterable[Any], ids: Callable[[Any], str] = repr
) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """Make one test of a function that takes a row by this name, beside fixtures."""
    table = list(rows)

    def of_all(check: Callable[..., None]) -> Callable[..., None]:
        def test(**fixtures: Any) -> None:
            assert table, "nothing to check"
            failed = {}
            for row in table:
                try:
                    check(**fixtures, **{name: row})
                except Exception as problem:
                    failed[ids(row)] = f"{type(problem).__name__}: {problem}"
            told = "\n".join(f"{row}: {problem}" for row, problem in failed.items())
            assert not failed, f"{len(failed)} of {len(table)} rows fail:\n{told}"

        whole = inspect.signature(check)
        others = [each for each in whole.parameters.values() if each.name != name]
        test.__name__, test.__doc__ = check.__name__, check.__doc__
        test.__qualname__, test.__module__ = check.__qualname__, check.__module__
        test.__signature__ = whole.replace(parameters=others)  # type: ignore[attr-defined]
        return test

    return of_all
