"""Text that no spreadsheet takes for a formula, and the way back.

A cell that begins with one of these signs may be run as a formula when the file is
opened. Source: OWASP, "CSV Injection"; ASVS 5.0, 1.2.10 (confirmed), which adds tab
and NUL; the full-width signs act like their narrow twins in some versions.
"""

PREFIX = "'"
_RUN = frozenset("=+-@|%\t\r\n\0＝＋－＠")
_MARKED = _RUN | {PREFIX}


def neutralise(text: str) -> str:
    """Return the text with a prefix if it could be run; see restore.

    >>> neutralise("=1+1"), neutralise("'tis"), neutralise("plain")
    ("'=1+1", "''tis", 'plain')
    """
    return PREFIX + text if text[:1] in _MARKED and text else text


def restore(cell: str) -> str:
    """Return what was neutralised; what a person typed otherwise stays as typed.

    >>> restore("'=1+1"), restore("''tis"), restore("'tis"), restore("plain")
    ('=1+1', "'tis", "'tis", 'plain')
    """
    if cell.startswith(PREFIX) and cell[1:2] and cell[1] in _MARKED:
        return cell[1:]
    return cell
