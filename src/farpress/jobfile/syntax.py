"""What the YAML parser complains about, said so that the writer of the file knows what to do."""

from __future__ import annotations

from typing import Any, Final

from farpress.jobfile.source import Source

__all__ = ["explain"]

_TEACHES: Final = (
    (
        "mapping values are not allowed",
        (
            "a colon with a space after it makes a key, and a key cannot stand here. "
            "Put text with a colon in quotes, or look at the indentation of this line and the one above"
        ),
    ),
    (
        "could not find expected ':'",
        "a line without 'key: value' stands among keys. Is a colon missing, or the space after it?",
    ),
    (
        "did not find expected key",
        (
            "the indentation does not fit: keys of one table stand in one column. "
            "Compare this line with the ones above; or a quote or comma is missing before it"
        ),
    ),
    (
        "did not find expected ',' or '}'",
        "a brace '{' is not closed, or a comma is missing between two entries",
    ),
    (
        "did not find expected ',' or ']'",
        "a bracket '[' is not closed, or a comma is missing between two entries",
    ),
    ("expected ',' or '}'", "a brace '{' is not closed, or a comma is missing between two entries"),
    ("expected ',' or ']'", "a bracket '[' is not closed, or a comma is missing between two entries"),
    (
        "did not find expected '-'",
        "the indentation does not fit: every entry of this list begins with '- ' in one column",
    ),
    (
        "block sequence entries are not allowed",
        "a list entry '- ' cannot stand here; it goes on a line of its own",
    ),
    (
        "unexpected end of stream",
        "the file ends in the middle of a text in quotes; the closing quote is missing",
    ),
    ("found unexpected end", "the file ends in the middle of a text in quotes; the closing quote is missing"),
    (
        "unknown escape",
        (
            "after a backslash in double quotes only some letters are allowed. Use single quotes, or write"
            " '\\\\' for a backslash"
        ),
    ),
    (
        "document start",
        "something stands after the end of the job; look at the indentation, or delete what follows",
    ),
    (
        "document separator",
        "'---' or '...' stands inside a text in quotes; the closing quote is missing above",
    ),
    ("alias", "a star '*' or ampersand '&' begins this word; put the text in quotes"),
    ("anchor", "a star '*' or ampersand '&' begins this word; put the text in quotes"),
    ("tag", "an exclamation mark '!' begins this word; put the text in quotes"),
    ("directive", "a per cent sign '%' begins this line; put the text in quotes"),
    ("block scalar", "after '|' or '>' the text goes on the next line, indented"),
    ("indentation indicator", "after '|' or '>' the text goes on the next line, indented"),
    ("simple key", "a key stands on one line and is short; is a quote left open above?"),
    ("exceeded maximum", "brackets are nested too deep; is one of them left open?"),
)


def explain(error: Any, source: Source) -> tuple[int, int, str]:
    """Line, column (from 1) and a sentence for an error of the parser."""
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    if mark is None:
        return _unreadable(error, source)
    line, column = mark.line + 1, mark.column + 1
    character = (
        source.lines[mark.line][mark.column : mark.column + 1] if mark.line < len(source.lines) else ""
    )
    problem = f"{getattr(error, 'problem', '') or ''}"
    before = source.lines[mark.line][: mark.column + 1] if mark.line < len(source.lines) else ""
    if character == "\t" or ("\t" in before and not before.strip()):
        return (
            line,
            column,
            (
                "a tab stands where the indentation is read; indent with spaces only (most editors can change"
                " tabs to spaces)"
            ),
        )
    if "cannot start any token" in problem:
        return line, column, f"no value can begin with '{character}'; put the text in quotes"
    if character == ":" and "expected ',' or" in problem:
        return (
            line,
            column,
            "between braces or brackets a colon ends the text before it; put text with a colon in quotes",
        )
    whole = f"{problem} {getattr(error, 'context', '') or ''}"
    says = next((teaches for part, teaches in _TEACHES if part in whole), None)
    if says is None:
        return (
            line,
            column,
            (
                f"this cannot be read as YAML: {problem or 'the form is wrong'}. Look at indentation, quotes"
                " and brackets here"
            ),
        )
    context = getattr(error, "context_mark", None)
    if context is not None and context.line != mark.line:
        says += f" (it began at line {context.line + 1})"
    return line, column, says


def _unreadable(error: Any, source: Source) -> tuple[int, int, str]:
    character = getattr(error, "character", None)
    code = ord(character) if isinstance(character, str) and len(character) == 1 else character
    if not isinstance(code, int):
        return 0, 0, f"this cannot be read as YAML: {error}"
    sign = chr(code) if 0 <= code < 0x110000 else ""
    for number, text in enumerate(source.lines, 1):
        if sign and sign in text:
            return (
                number,
                text.index(sign) + 1,
                f"the text holds a control character (U+{code:04X}), which no paper can print. Delete it",
            )
    return 0, 0, f"the text holds a character that is not allowed (U+{code:04X}). Delete it"
