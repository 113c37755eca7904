"""Cards and labels: one page a person, codes that an independent reader reads, nothing secret in them."""

from __future__ import annotations

import ast
from dataclasses import replace
from importlib import resources
from string import Formatter

import pypdfium2
import pytest

from farpress.case.local_time import NO_ZONE
from farpress.catalogue.files import read_parts
from farpress.core.keys.label import is_valid_label
from farpress.domain.cautions import CAUTIONS, LOCAL_CODES
from farpress.domain.kinds import DEVICE_KINDS
from farpress.errors import InputError
from farpress.papers.typesetting.cards import (
    Card,
    CardFob,
    CardPress,
    Label,
    entry_text,
    labels_pdf,
    pocket_cards_pdf,
    user_cards_pdf,
)
from farpress.papers.typesetting.faces import typographic
from farpress.papers.typesetting.languages import LANGUAGES
from farpress.papers.typesetting.paper import Head
from farpress.papers.typesetting.texts import _catalogue, texts_in
from farpress.sources import Mark
from helpers.layout import layout_faults, words_of
from helpers.read_pdf import pages_of, poppler_facts, qr_codes, smallest_letters, tags_of, told_by
from helpers.source_trees import nodes_of, source_files

HEAD = Head(
    "Larkfen House",
    "5f1c0a9be2d477aa0123456789abcdef",
    "0.1.0",
    "25 November 2026",
    telephone="01632 960 014",
)
GATE = CardPress(
    "1",
    "",
    "open gate",
    "Opens gate.",
    ("car on the street", "kitchen"),
    "gate has moved: watch until it has stopped",
)
LIGHT = CardPress(
    "3",
    "hold for two seconds",
    "path lights",
    "Switches path lights on for 4 min.",
    ("drive",),
    "you see path lights",
)
CARD = Card(
    "Mirela Ostrovane",
    "Larkfen House",
    (CardFob("LH-001-G", "planned label", 4, (GATE, LIGHT)),),
    (CAUTIONS["general"], CAUTIONS["gate"]),
    "Off.",
    "Ring 01632 960 014.",
    "coin cell; change it every 43 months.",
)


def test_a_card_tells_everything_about_each_button() -> None:
    """Name, label, button, what it does, where to stand, how it tells, cautions, what to do about a loss."""
    text = pages_of(user_cards_pdf((CARD,), HEAD, texts_in("en")))[0]

    for words in [
        "Mirela Ostrovane",
        "LH-001-G",
        "open gate",
        "Opens gate.",
        "Stand: car on the street · kitchen",
        "It has worked when: gate has moved",
        "(hold for two seconds)",
        CAUTIONS["gate"][:50],
        "Ring 01632 960 014.",
        "43 months",
    ]:
        assert words in text, words


@pytest.mark.parametrize("size", ["a4", "letter"])
def test_the_code_leads_to_the_label_and_holds_nothing_else(size: str) -> None:
    """Zxing reads each code from the picture of the page: the label, no name, no address."""
    two = (CARD, replace(CARD, fobs=(replace(CARD.fobs[0], label="LH-002-E"),)))

    assert qr_codes(user_cards_pdf(two, HEAD, texts_in("en"), size=size)) == [
        "farpress:fob/LH-001-G",
        "farpress:fob/LH-002-E",
    ]
    assert qr_codes(pocket_cards_pdf(two, HEAD, texts_in("en"), size=size)) == [
        "farpress:fob/LH-001-G",
        "farpress:fob/LH-002-E",
    ]
    assert entry_text("LH-001-G") == "farpress:fob/LH-001-G"


@pytest.mark.long
def test_labels_carry_code_check_character_and_telephone_only() -> None:
    """Forty labels on their sheets, every code read back and every check character right (ISO/IEC 7064,
    tested elsewhere).
    """
    from farpress.core.keys.label import check_character

    labels = [f"BM-{number:03d}-{check_character(f'BM-{number:03d}')}" for number in range(1, 41)]
    pdf = labels_pdf(
        (Label(one, ("Found? Please ring", "01632 960 014")) for one in labels), HEAD, texts_in("en")
    )

    assert qr_codes(pdf, dots_per_inch=220) == [entry_text(one) for one in labels]
    assert all(is_valid_label(code.split("/")[1]) for code in qr_codes(pdf, dots_per_inch=220))
    assert all(one in " ".join(pages_of(pdf)) for one in labels)


@pytest.mark.parametrize(
    ("presses", "language"), [(1, "en"), (1, "de"), *((4, language) for language in LANGUAGES)]
)
def test_a_usual_card_keeps_to_its_page(presses: int, language: str) -> None:
    """Four functions with seven cautions, in letters that everybody can read."""
    many = tuple(
        replace(GATE, button=str(number % 4 + 1), function=f"function {number}") for number in range(presses)
    )
    card = replace(
        CARD,
        fobs=(replace(CARD.fobs[0], presses=many),),
        cautions=tuple(
            CAUTIONS[name]
            for name in ("general", "gate", "automatic closing", "alarm", "lost fob", "security", "cell")
        ),
    )

    assert poppler_facts(user_cards_pdf((card, card), HEAD, texts_in(language)))["Pages"] == "2"


def test_an_old_reader_s_letters_are_as_large_as_a_boy_s() -> None:
    """One function or fourteen: the sentences have twelve points; a long card runs on and does not shrink."""
    many = tuple(replace(GATE, button=str(number % 4 + 1)) for number in range(14))
    sizes: list[set[float]] = []
    for presses in ((GATE,), many):
        card = replace(CARD, fobs=(replace(CARD.fobs[0], presses=presses),))
        pages = pypdfium2.PdfDocument(user_cards_pdf((card,), HEAD, texts_in("en")))
        words = [word for page in pages for word in words_of(page)]
        sizes.append({round(word.size, 1) for word in words if "Stand" in word.text})

    assert sizes == [{12.0}, {12.0}]


def test_a_german_letter_card_with_sixteen_functions_runs_on() -> None:
    """Long sentences, every caution, sixteen functions: no letter under seven points, nothing on anything."""
    say = texts_in("de").say
    press = CardPress(
        "1",
        say("hold for two seconds"),
        "function",
        f"{say('Opens {device}.', device='gate')} {say('It closes by itself after {time}.', time='45 s')}",
        (
            say(
                "{place}: not reliable yet, about {share} of 100 tries work within {presses} presses",
                place="car on the street",
                share="76",
                presses="2",
            ),
        ),
        say("{device} has moved: watch until it has stopped", device="gate"),
    )
    card = replace(
        CARD,
        fobs=(
            CardFob(
                "LH-001-G",
                say("planned label"),
                8,
                tuple(replace(press, button=str(number % 8 + 1)) for number in range(16)),
            ),
        ),
        cautions=tuple(
            say(CAUTIONS[name])
            for name in CAUTIONS
            if name not in ("data", "mains", "safety input", "deference")
        ),
    )
    pdf = user_cards_pdf((card,), HEAD, texts_in("de"), size="letter")

    assert layout_faults(pdf) == []
    assert smallest_letters(pdf) >= 6.99


def test_a_card_that_runs_on_says_whose_it_is() -> None:
    """Two fobs of six buttons, long sentences: a fob stays whole, and the second page has the name and
    the label on it.
    """
    press = replace(
        GATE,
        what=(
            "Opens the gate as far as a person needs. It closes by itself after 45 s, once the beams are free"
            " again."
        ),
        where=(
            "car on the street: not reliable yet, about 76 of 100 tries work within 2 presses",
            "kitchen, does not see the whole gate",
        ),
    )
    fobs = tuple(
        CardFob(
            label, "planned label", 6, tuple(replace(press, button=str(number + 1)) for number in range(6))
        )
        for label in ("LH-001-G", "LH-003-C")
    )
    pdf = user_cards_pdf((replace(CARD, fobs=fobs), CARD), HEAD, texts_in("en"))
    pages = pages_of(pdf)

    assert len(pages) == 3
    assert "User card: Mirela Ostrovane" in pages[1]
    assert "Your fob LH-003-C" in pages[1]
    assert "LH-003-C" not in pages[0]
    assert "User card: " not in pages[0] + pages[2]
    assert layout_faults(pdf) == []


def test_cards_are_tagged_and_in_their_language() -> None:
    """A reader aloud finds headings, and knows that a German card is German."""
    pdf = user_cards_pdf((CARD,), HEAD, texts_in("de"))

    assert {"H1", "H2", "Figure"} <= tags_of(pdf)
    assert told_by(pdf)["language"] == "de"
    assert "Benutzerkarte" in pages_of(pdf)[0]
    assert "Vorsicht" in pages_of(pdf)[0]


@pytest.mark.parametrize("name", ["x" * 300, "שלום עולם", "🏡🔑👵", "a\u0000b\ud800", "#panic()", ""])
def test_bad_names_still_give_a_card(name: str) -> None:
    """No name leaves a line to write on; any other is printed as far as there are letters for it."""
    card = replace(
        CARD,
        name=name,
        fobs=(replace(CARD.fobs[0], presses=(replace(GATE, function=name or "f", where=(name,)),)),),
    )

    for make in (user_cards_pdf, pocket_cards_pdf):
        assert poppler_facts(make((card,), HEAD, texts_in("en")))["Tagged"] == "yes"


def _said() -> set[str]:
    """Every text that the code has said in a language: sentences, cautions that cards print, kinds of
    devices, cells of the catalogue, how a figure of these papers came to us.
    """
    found: set[str] = {
        CAUTIONS[name] for name in CAUTIONS if name not in ("data", "mains", "safety input", "deference")
    }
    found |= {*DEVICE_KINDS, "alarm panel"} - {"other"}
    cells = (resources.files("farpress.catalogue") / "data" / "cell.yaml").read_text(encoding="utf-8")
    found |= {part.says for part in read_parts("cell", cells).values()}
    found |= {str(Mark.CHOICE), NO_ZONE, LOCAL_CODES}
    for path in source_files():
        for node in nodes_of(path):
            if (
                isinstance(node, ast.Call)
                and node.args
                and isinstance(node.args[0], ast.Constant)
                and isinstance(node.args[0].value, str)
            ):
                name = (
                    node.func.attr
                    if isinstance(node.func, ast.Attribute)
                    else node.func.id
                    if isinstance(node.func, ast.Name)
                    else ""
                )
                if name == "say":
                    found.add(node.args[0].value)
    return found


@pytest.mark.long
def test_every_language_is_complete() -> None:
    """Every text of cover, cards and labels is translated, with the same names to fill in; nothing is left
    over, and a text is at most twice as long as the English one and a few words.
    """
    said = _said()
    assert len(said) > 60
    for language in sorted(set(LANGUAGES) - {"en"}):
        catalogue = {key: value for key, value in _catalogue(language)._catalog.items() if key}  # type: ignore[attr-defined]
        assert sorted(said - set(catalogue)) == [], language
        assert sorted(set(catalogue) - said) == [], language
        for text, other in catalogue.items():
            assert other.strip(), (language, text)
            assert _fields(text) == _fields(other), (language, text)
            assert len(other) <= 2 * len(text) + 24, (language, text)


def _fields(text: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(text) if name}


def test_the_languages_are_those_asked_for_each_with_its_own_catalogue() -> None:
    """By ISO 639-1; a catalogue without a language would never be read. Regions are those of Unicode CLDR."""
    from babel import Locale

    lying = {path.name for path in (resources.files("farpress.papers.typesetting") / "locale").iterdir()}
    assert lying == {f"{language}.po" for language in LANGUAGES if language != "en"}
    for code, language in LANGUAGES.items():
        locale = Locale.parse(language.region)
        assert locale.language == code
        assert (locale.language_name or "").casefold() == language.name.casefold()


def test_dates_and_decimals_follow_the_language() -> None:
    """25 November 2026 and 0.5 s; 25. November 2026 and 0,5 s (Unicode CLDR through Babel)."""
    from datetime import date

    assert texts_in("en").date(date(2026, 11, 25)) == "25 November 2026"
    assert texts_in("de").date(date(2026, 11, 25)) == "25. November 2026"
    assert texts_in("es").month(date(2026, 11, 25)) == "noviembre de 2026"  # CLDR, skeleton yMMMM
    assert texts_in("pl").month(date(2026, 11, 25)) == "listopada 2026"  # the genitive, as after "od"
    assert texts_in("de").quantity("0.5 s") == "0,5\u00a0s"
    assert texts_in("en").quantity("0.5 s") == "0.5\u00a0s"


def test_an_unknown_language_is_refused() -> None:
    """The message names those on offer."""
    with pytest.raises(InputError, match=r"en, de, .* and it"):
        texts_in("eo")


@pytest.mark.parametrize(
    ("written", "set_in_type"),
    [
        ("5.034 ohm at 20 degC", "5.034\u00a0Ω at 20\u00a0°C"),
        ("4.7 kohm", "4.7\u00a0kΩ"),
        ("0.22 mm2", "0.22\u00a0mm²"),
        ("at (14, -25): -103 dBm", "at (14, −25): −103\u00a0dBm"),
        ("fob LH-003-K of 2026-11-25", "fob LH-003-K of 2026-11-25"),
        ("80 us at 28 deg", "80\u00a0µs at 28°"),
        ("read the ohms", "read the ohms"),
    ],
)
def test_units_are_set_in_type(written: str, set_in_type: str) -> None:
    """Signs of units and of minus, a number and its unit on one line; labels and dates stay (SI Brochure
    5.4.3, from memory: a space between them).
    """
    assert typographic(written) == set_in_type
