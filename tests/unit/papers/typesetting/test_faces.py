"""The faces that come with the program: what they cover, and their licences."""

from __future__ import annotations

import unicodedata

from farpress.papers.typesetting.faces import FAMILIES, FONT_FOLDER, NO_GLYPH, _covered, fonts, printable
from write_faces import covered


def test_what_is_said_to_be_covered_is_covered() -> None:
    """Read by fontTools out of every face, to the code point."""
    assert _covered() == covered(FONT_FOLDER)


def test_every_family_is_there_and_no_other() -> None:
    """As the typesetter knows them by name."""
    assert set(fonts().families()) == set(FAMILIES)


def test_names_of_many_scripts_can_be_printed() -> None:
    """Hebrew, Arabic, Devanagari, Thai, Georgian, Ethiopic; a script without a face is marked."""
    for name in ("אבג", "عمر", "अमन", "สมชาย", "ნინო", "አበበ", "Żółć", "Ђорђе"):
        assert printable(name) == unicodedata.normalize("NFC", name)
    assert printable("梅田") == NO_GLYPH * 2


def test_the_licences_go_with_the_faces() -> None:
    """SIL Open Font License 1.1, section 2: each copy contains the copyright notice and the licence."""
    for name, notice in (("Noto", "The Noto Project Authors"), ("SourceSans", "Reserved Font Name 'Source'")):
        text = (FONT_FOLDER / f"LICENSE-{name}.txt").read_text(encoding="utf-8")
        assert "SIL OPEN FONT LICENSE Version 1.1" in text
        assert notice in text
    size = sum(path.stat().st_size for path in FONT_FOLDER.iterdir())
    assert size < 8_000_000
