"""Sample reports at their limits: every text long, many machines, none at all."""

from dataclasses import fields, is_dataclass, replace
from itertools import count
from typing import Any

from reports import content
from reports.pdf import printable
from tests.reports import sample_content, sample_machines

# Long as a whole, and made of one word that no line can hold.
LONG_NAME = "Żółta-Łąka-" * 27 + "end"
LONG_SENTENCE = "Đường Lúa Mới và Κτίριο Ανεμώνη " * 9 + "end"

_KEPT = frozenset({"page_of", "revision", "supersedes", "content_checksum", "scale"})


def with_texts(record: Any, text: str) -> Any:
    """Return a record with every text replaced, except patterns and codes."""
    if isinstance(record, tuple):
        return tuple(with_texts(item, text) for item in record)
    if not is_dataclass(record):
        return text if type(record) is str else record
    changed = {
        field.name: with_texts(getattr(record, field.name), text)
        for field in fields(record)
        if field.name not in _KEPT | {"code", "language"}
    }
    return replace(record, **changed)


def long_report(text: str) -> content.ConditionReport:
    """Return the sample report with one text everywhere; labels stay as they are."""
    report = sample_content.report()
    return replace(with_texts(report, text), wording=report.wording)


def numbered_report() -> content.ConditionReport:
    """Return the sample report with another long text in every field."""
    report = sample_content.report()
    numbers = count(1)

    def numbered(record: Any, *, is_prose: bool = False) -> Any:
        if isinstance(record, tuple):
            return tuple(numbered(item, is_prose=is_prose) for item in record)
        if type(record) is str:
            text = f"no{next(numbers)}x " * 400
            return text[: 1500 if is_prose else 300].strip()
        if not is_dataclass(record):
            return record
        changed = {
            field.name: numbered(
                getattr(record, field.name), is_prose=field.name in printable.PROSE
            )
            for field in fields(record)
            if field.name not in _KEPT | {"code", "language", "wording"}
        }
        return replace(record, **changed)

    return numbered(report)


def with_prose(record: Any, text: str, *, is_prose: bool = False) -> Any:
    """Return a record with the text of every field that holds sentences replaced."""
    if isinstance(record, tuple):
        return tuple(with_prose(item, text, is_prose=is_prose) for item in record)
    if type(record) is str:
        return text if is_prose else record
    if not is_dataclass(record):
        return record
    changed = {
        field.name: with_prose(
            getattr(record, field.name), text, is_prose=field.name in printable.PROSE
        )
        for field in fields(record)
    }
    return replace(record, **changed)


def wordy_report(text: str) -> content.ConditionReport:
    """Return the sample report with one text wherever sentences stand."""
    report = sample_content.report()
    return replace(with_prose(report, text), masthead=report.masthead)


def report_of(count: int) -> content.ConditionReport:
    """Return the sample report with any number of machines."""
    report = sample_content.report()
    kinds = (
        sample_machines.undercut_machine(),
        sample_machines.v_machine(),
        sample_machines.bare_machine(),
    )
    machines = tuple(
        replace(kinds[index % 3], code=f"M-{index + 1:02d}") for index in range(count)
    )
    strip = report.summary.strip
    assert strip is not None
    rows = tuple(
        replace(strip.rows[index % 3], label=f"{machine.code} {machine.name}")
        for index, machine in enumerate(machines)
    )
    decisions = tuple(
        replace(report.summary.decisions[index % 2], machine=machine.code)
        for index, machine in enumerate(machines)
    )
    summary = replace(
        report.summary, strip=replace(strip, rows=rows), decisions=decisions
    )
    return replace(report, machines=machines, summary=summary)


def on_letter(report: content.ConditionReport) -> content.ConditionReport:
    """Return a report laid out for Letter paper."""
    return replace(
        report, masthead=replace(report.masthead, paper=content.PaperSize.LETTER)
    )
