"""Words as they may stand in a cell of somebody else's spreadsheet program."""

import re

_NO_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ufffe\uffff]")
_LIVE = re.compile("'*[=+\\-@\t\r＝＋－＠]")
_QUOTED = re.compile("'+[=+\\-@\t\r＝＋－＠]")
_NUMBER = re.compile(r"[+-]?\d+([.,]\d+)?(:\d\d([.,]\d+)?)*")


def without_controls(text: str) -> str:
    """A text that can be in XML 1.0 (section 2.2) at all: control characters become spaces."""
    return _NO_XML.sub(" ", text)


def harmless(text: str) -> str:
    """A text that no spreadsheet program takes for a formula when it opens a CSV file: a ``'`` before such.

    Formulas begin with ``=``, ``+``, ``-``, ``@``, a tab or a return (OWASP, "CSV Injection"); plain numbers
    stay as they are. :func:`as_written` undoes it.
    """
    return f"'{text}" if _LIVE.match(text) and not _NUMBER.fullmatch(text) else text


def as_written(text: str) -> str:
    """What :func:`harmless` was given."""
    return text[1:] if _QUOTED.match(text) else text
