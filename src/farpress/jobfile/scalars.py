"""What a plain word of the file means: the core schema of YAML 1.2, nothing more.

`no` is a word, `12:30` is a word, `010` is ten. Numbers remember how they were written,
so that a name like `0123` survives and a quantity without its unit can be told.

Source: YAML Ain't Markup Language 1.2.2, 10.3.2 Tag Resolution (regular expressions from memory).
"""

from __future__ import annotations

import re
from typing import Final

from farpress.domain.quantity import WrittenFloat, WrittenInt

__all__ = ["LONGEST_NAME", "LONGEST_TEXT", "REMARKS", "scalar_value", "text_fault"]

LONGEST_NAME: Final = 300
"""Longest name or value [characters]; our choice: longer fits no label and no line of a paper."""
LONGEST_TEXT: Final = 4000
"""Longest remark [characters]; our choice: about a page."""
REMARKS: Final = frozenset({"says", "address", "source", "signed"})
"""Keys whose value is prose and may have several lines."""

_INT = re.compile(r"[-+]?[0-9]+\Z")
_OCTAL_OR_HEX = re.compile(r"0o[0-7]+\Z|0x[0-9a-fA-F]+\Z")
_FLOAT = re.compile(r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?\Z")
_WORDS: Final[dict[str, object]] = {
    "": None,
    "~": None,
    "null": None,
    "Null": None,
    "NULL": None,
    "true": True,
    "True": True,
    "TRUE": True,
    "false": False,
    "False": False,
    "FALSE": False,
}
_FORBIDDEN = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\x80-\x9f\u202a-\u202e\u2066-\u2069\ufeff\ufffe\uffff\ud800-\udfff]"
)


def scalar_value(text: str, *, plain: bool) -> object:
    """The value of a scalar: quoted ones are text; plain ones as the core schema says.

    Args:
        text: the scalar without quotes.
        plain: it stood without quotes.
    """
    if not plain:
        return text
    if text in _WORDS:
        return _WORDS[text]
    first = text[0]
    if first not in "+-.0123456789" or len(text) > LONGEST_NAME:
        return text
    if _INT.match(text):
        return WrittenInt(int(text), text)
    if _OCTAL_OR_HEX.match(text):
        return WrittenInt(int(text[2:], 8 if text[1] == "o" else 16), text)
    if _FLOAT.match(text):
        return WrittenFloat(float(text), text)
    return text


def text_fault(text: str, key: str | None) -> str:
    """What is wrong with a text as the value of a key (None: it is a key itself); empty if nothing."""
    longest = LONGEST_TEXT if key in REMARKS else LONGEST_NAME
    if len(text) > longest:
        return f"this text has {len(text)} characters, but at most {longest} are allowed here (our choice)"
    sign = _FORBIDDEN.search(text)
    if sign:
        return (
            f"the text holds a control character (U+{ord(sign[0]):04X}), which no paper can print. Delete it"
        )
    if key not in REMARKS and ("\n" in text or "\t" in text):
        return "a name or value stands on one line, without tabs"
    return ""
