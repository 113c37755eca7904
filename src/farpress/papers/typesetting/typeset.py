"""Set data into a PDF with one of the templates: own fonts, tagged, offline, the same bytes each time."""

from __future__ import annotations

import json
from collections.abc import Callable
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from farpress.errors import InputError, PaperError
from farpress.papers.typesetting.compact import packed
from farpress.papers.typesetting.faces import (
    FAMILIES,
    NO_GLYPH,
    fonts,
    printable,
    printable_drawing,
    typographic,
)

if TYPE_CHECKING:
    import typst

__all__ = ["PAPERS", "paper_size", "typeset"]

PAPERS: Final = {"a4": "a4", "letter": "us-letter"}
"""Paper sizes on offer, and what the typesetter calls them."""

_RAW: Final = frozenset({"fingerprint", "families", "paper", "lang"})
"""Keys whose text is for the typesetter, not for the reader."""

_LARGE: Final = 150_000
"""Characters of data from which a paper is worth forgetting; our choice, measured on 672 cards (0.8 to 0.4
GB)."""


_NEARLY_EMPTY: Final = 0.35
"""Share of a last page below which it is worth setting a paper closer; our choice."""


def paper_size(paper: str) -> str:
    """The typesetter's name of a paper size.

    Raises:
        InputError: an unknown size.
    """
    if paper not in PAPERS:
        raise InputError(f"There is no paper size '{paper}'; there are {' and '.join(PAPERS)}.")
    return PAPERS[paper]


def typeset(
    template: str,
    data: dict[str, Any],
    *,
    paper: str = "a4",
    what: str = "The paper",
    closer: bool = False,
    tight: bool = False,
    one_page: bool = False,
) -> bytes:
    """Set data into a tagged PDF (PDF/UA-1, and PDF/A-2a with a day); the same arguments give the same bytes.

    Args:
        template: file in the folder of templates, as "paper.typ".
        data: plain JSON values; texts are made printable here.
        paper: "a4" or "letter".
        what: how an error names the paper.
        closer: set it a second time, closer, if its last page is nearly empty and that saves the page.
        tight: set it closer at once.
        one_page: set it closer where it would take more than one page.

    Raises:
        InputError: an unknown paper size.
        PaperError: the paper could not be set.
    """
    whole = _printable(data) | {"families": list(FAMILIES), "paper": paper_size(paper)}
    try:
        return _set(template, whole, what, closer, tight, one_page)
    except PaperError:
        # a glyph that exists but does not go with its neighbour: keep to plain characters rather than give no
        # paper
        return _set(template, _plain(whole), what, closer, tight, one_page)


def _set(template: str, data: Any, what: str, closer: bool, tight: bool, one_page: bool) -> bytes:
    import typst

    with resources.as_file(resources.files("farpress.papers.typesetting") / "templates") as folder:
        path = Path(folder) / template
        written = json.dumps(data, ensure_ascii=False)

        def compiler(**more: str) -> typst.Compiler:
            return typst.Compiler(
                input=str(path),
                root=str(folder),
                font_paths=fonts(),
                ignore_system_fonts=True,
                sys_inputs={"data": written} | more,
            )

        try:
            if tight:
                setter = compiler(tight="yes")
            elif closer or one_page:
                setter = _saves_a_page(compiler, one_page=one_page)
            else:
                setter = compiler()
            made = setter.compile(format="pdf", pdf_standards=_standards(data), timestamp=0)
        except (typst.TypstError, RuntimeError) as error:  # a query says RuntimeError
            raise PaperError(f"{what} could not be set: {getattr(error, 'message', error)}") from error
    if len(written) > _LARGE:
        _forget()
    if not isinstance(made, bytes):
        raise PaperError(f"{what} could not be set: the typesetter gave no single document.")
    return packed(made)


def _standards(data: Any) -> list[typst.PDFStandard]:
    """PDF/UA-1 always; PDF/A-2a beside it where the paper has a day, which that asks for."""
    return ["ua-1", "a-2a"] if data.get("day") is not None else ["ua-1"]


def _saves_a_page(compiler: Callable[..., typst.Compiler], *, one_page: bool) -> typst.Compiler:
    """The closer setting where the last of several pages would be nearly empty and it does without it, or
    where one page is wanted and more are taken.
    """

    def end(set_by: typst.Compiler) -> tuple[int, float]:
        found = json.loads(set_by.query("<end>", field="value", one=True))
        return found["page"], found["share"]

    usual = compiler()
    pages, share = end(usual)
    if pages == 1 or (share > _NEARLY_EMPTY and not one_page):
        return usual
    closer = compiler(tight="yes")
    return closer if one_page or end(closer)[0] < pages else usual


def _forget() -> None:
    """Let the typesetter drop what it keeps of a large paper: it forgets after some further documents."""
    import typst

    for _ in range(12):
        typst.compile(b"#none", ignore_system_fonts=True)  # without faces: nothing is set


def _printable(data: Any) -> Any:
    match data:
        case str():
            return printable(typographic(data))
        case dict():
            return {key: _printable_member(key, value) for key, value in data.items()}
        case list() | tuple():
            return [_printable(value) for value in data]
    return data


def _printable_member(key: Any, value: Any) -> Any:
    if key in _RAW:
        return value
    return printable_drawing(value) if key == "svg" else _printable(value)


def _plain(data: Any) -> Any:
    match data:
        case str():
            return "".join(
                character if character <= "ž" or character in "–—“”‘’·−≤≥±†Ωµ²°\u200b" else NO_GLYPH
                for character in data
            )
        case dict():
            return {key: value if key in _RAW else _plain(value) for key, value in data.items()}
        case list():
            return [_plain(value) for value in data]
    return data
