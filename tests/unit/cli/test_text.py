"""Lines, tables and plain signs of the command line."""

from __future__ import annotations

from hypothesis import example, given
from hypothesis import strategies as st

from farpress.cli.text import columns_of, paragraph, table, to_ascii, wrapped

TEXTS = st.text(st.characters(codec="utf-8", exclude_categories=["Mn", "Me", "Cf", "Cn", "Co"]), max_size=120)


@example("梅" * 40, 21)
@example("ab梅", 20)
@given(TEXTS, st.integers(min_value=20, max_value=100))
def test_no_line_is_wider_than_asked_and_no_sign_is_lost(text: str, width: int) -> None:
    """Wide glyphs count twice; only spaces and control characters go."""
    import unicodedata

    lines = wrapped(text, width, "- ", "  ")

    assert all(columns_of(line) <= width for line in lines)
    assert not any(unicodedata.category(sign) in ("Cc", "Zl", "Zp") for line in lines for sign in line)
    kept = "".join(
        sign for sign in unicodedata.normalize("NFC", text) if unicodedata.category(sign)[0] not in "CZ"
    )
    shown = "".join(line[2:] for line in lines)
    assert "".join(shown.split()) == "".join(kept.split())


@given(st.lists(st.tuples(TEXTS, TEXTS, TEXTS), min_size=1, max_size=6), st.integers(90, 200))
def test_columns_stand_below_each_other(rows: list[tuple[str, str, str]], width: int) -> None:
    """Whatever the cells hold, no line is wider than the terminal and columns begin at one place."""
    shown = table([("a", "b", "c"), *rows], head=("first", "second", "third"), width=width)

    lines = shown.split("\n")
    assert all(columns_of(line) <= width for line in lines)
    assert lines[1].index("b") == lines[0].index("second")
    assert lines[1].index("c") == lines[0].index("third")


def test_wide_glyphs_do_not_push_a_column_aside() -> None:
    """A holder's name in Chinese or Japanese characters: each takes two columns (Unicode Annex 11)."""
    lines = table([("梅田", "x"), ("Vale", "y")]).split("\n")

    assert lines == ["梅田  x", "Vale  y"]


def test_notes_stand_below_their_row() -> None:
    """Not below the head, and not in a column."""
    shown = table([("R1", "open"), ("R2", "shut")], head=("", "now"), notes=[[], ["comes on by itself"]])

    assert shown.split("\n") == ["    now", "R1  open", "R2  shut", "    comes on by itself"]


def test_a_terminal_s_commands_in_a_name_are_not_obeyed() -> None:
    """ESC and the like of a name from outside are spaces."""
    nasty = "Vale\x1b[2J\x07\u2028end"

    for text in (paragraph(nasty), "\n".join(wrapped(nasty)), table([(nasty, nasty)])):
        assert "\x1b" not in text
        assert "\x07" not in text
        assert "Vale [2J" in text


def test_the_marks_become_plain_ones() -> None:
    """Four different ones, told apart without any other sign."""
    from farpress.cli.marks import MARKS

    assert [to_ascii(mark) for mark in MARKS.values()] == ["==", "--", "..", "=X="]
