"""Templates: a header with one example row, and a page that says what each column is.

The example is one small machine with everything it needs; each file leans on the
one before it, so that the templates themselves can be brought in, in their order.
"""

import io
import zipfile
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime

from fleet.register.exchange import measures
from fleet.register.exchange.columns import FileColumn
from fleet.register.exchange.resource import Resource
from fleet.register.exchange.table import write_chunks
from fleet.register.exchange.words import EXAMPLE, MEANING

_GENERAL = """\
Columns of {name}.csv

The first row names the columns. A column that is left out is left as it is; in a new
row it is empty. An empty cell empties the value.
A column with a unit is named with it, as {with_unit}. In another unit it is named
with the unit in brackets{in_brackets}. A value without a unit is not taken.
Declare with the file: delimiter (comma, semicolon, tab, bar), decimal_mark (point,
comma), encoding (utf-8, utf-8-sig, cp1252) and dates (YYYY-MM-DD, DD.MM.YYYY,
DD/MM/YYYY, MM/DD/YYYY). Thousands have no mark. This template is written with
comma, point, utf-8 and YYYY-MM-DD.
A text that begins with = + - @ | % or a tab is given a ' before it, which is taken
off again when the file is brought in.

"""


def csv_template(*, columns: Sequence[FileColumn], example: Mapping[str, str]) -> bytes:
    """Return the header and one example row."""
    header = [column.name for column in columns]
    cells = [example.get(column.name, "") for column in columns]
    return b"".join(write_chunks([header, cells]))


def guide(
    *,
    name: str,
    columns: Sequence[FileColumn],
    key: Sequence[str],
    meanings: Mapping[str, str] = MEANING,
) -> bytes:
    """Return what each column means, takes, and which units it may have."""
    lines = list(_lines(columns, key, meanings))
    return (_head(name, columns) + "\n".join(lines) + "\n").encode()


def of_resource(*, resource: Resource, at: datetime) -> bytes:
    """Return both, for a resource of the register, as one ZIP file."""
    columns = resource.columns
    return archive(
        name=resource.name,
        example=csv_template(
            columns=columns, example=resource.example or EXAMPLE[resource.name]
        ),
        guide=guide(
            name=resource.name,
            columns=columns,
            key=resource.key_columns,
            meanings={**MEANING, **(resource.meanings or {})},
        ),
        at=at,
    )


def archive(*, name: str, example: bytes, guide: bytes, at: datetime) -> bytes:
    """Return an example and its guide as one ZIP file."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as found:
        for file, content in (
            (f"{name}.csv", example),
            (f"{name}-columns.txt", guide),
        ):
            found.writestr(zipfile.ZipInfo(file, at.timetuple()[:6]), content)
    return packed.getvalue()


def _head(name: str, columns: Sequence[FileColumn]) -> str:
    measured = [c.name for c in columns if measures.split(c.name)[1] is not None]
    others = [
        f"{bare} [{unit}]"
        for bare, measure in map(measures.split, measured)
        if measure is not None
        for unit in list(measure.factors)[1:2]
    ]
    return _GENERAL.format(
        name=name,
        with_unit=measured[0] if measured else "nominal_diameter_mm",
        in_brackets=f", as {others[0]}" if others else "",
    )


def _lines(
    columns: Sequence[FileColumn], key: Sequence[str], meanings: Mapping[str, str]
) -> Iterator[str]:
    for column in columns:
        notes = [f"takes {column.takes}"]
        measure = measures.split(column.name)[1]
        if measure is not None and len(measure.factors) > 1:
            notes.append(f"other units: {', '.join(list(measure.factors)[1:])}")
        if column.name in key:
            notes.append("tells which row is meant")
        elif column.is_needed:
            notes.append("needed for a new row")
        yield f"{column.name}: {meaning(column, meanings)}. ({'; '.join(notes)})"


def meaning(column: FileColumn, meanings: Mapping[str, str] = MEANING) -> str:
    """Return what a column means, in words."""
    return meanings.get(column.name) or str(column.field.help_text).rstrip(".")
