"""Languages in which cards, cover and labels can be had."""

from __future__ import annotations

from typing import Final, NamedTuple

__all__ = ["LANGUAGES", "Language"]


class Language(NamedTuple):
    """One language.

    Attributes:
        name: as those who speak it call it.
        region: whose way of writing dates and numbers is used, as in Unicode CLDR.
        month: how a month stands in a sentence, in the signs of CLDR.
        colon: after a head, with the space before it that French sets.
    """

    name: str
    region: str
    month: str = "MMMM y"
    colon: str = ":"


LANGUAGES: Final = {
    "en": Language("English", "en_GB"),
    "de": Language("Deutsch", "de_DE"),
    "fr": Language("Français", "fr_FR", colon="\u00a0:"),
    "nl": Language("Nederlands", "nl_NL"),
    "pl": Language("Polski", "pl_PL"),
    "es": Language("Español", "es_ES", "MMMM 'de' y"),
    "it": Language("Italiano", "it_IT"),
}
"""By the code of ISO 639-1. English stands in the code; each other one has a catalogue, `locale/CODE.po`."""
