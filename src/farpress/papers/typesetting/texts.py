"""Words of the papers in another language, and dates and numbers as that language writes them.

English stands in the code as it is printed; a catalogue (`locale/LANGUAGE.po`, gettext)
gives the other languages. What a user wrote into the job is printed as it stands, unless the job brings its
translation.
"""

from __future__ import annotations

import datetime
import gettext
import io
from collections.abc import Iterable, Mapping
from functools import cache
from importlib import resources

from farpress.errors import InputError
from farpress.papers.typesetting.languages import LANGUAGES
from farpress.phrases import listed

__all__ = ["Texts", "texts_in"]


class Texts:
    """The words of one language."""

    def __init__(self, language: str, own: Mapping[str, str]) -> None:
        """Use `texts_in`, which refuses an unknown language."""
        self.language = language
        self._own = own
        self._locale = LANGUAGES[language].region
        self._catalogue = _catalogue(language)

    def say(self, text: str, /, **values: object) -> str:
        """A sentence in this language, `{names}` filled in; in English where it is not translated."""
        found = self._catalogue.gettext(text) if text else ""
        return found.format(**values) if values else found

    @property
    def colon(self) -> str:
        """As this language sets it after a head."""
        return LANGUAGES[self.language].colon

    def own(self, text: str) -> str:
        """A name or sentence of the job in this language; as it stands where no translation is given."""
        return self._own.get(text, text)

    def is_given(self, text: str) -> bool:
        """Whether the job says how a name or sentence of it is said in this language."""
        return text in self._own

    def listed(self, items: Iterable[str], *, nothing: str = "") -> str:
        """Names in a row as this language joins them: "a, b and c", "a, b und c"."""
        from babel.lists import format_list

        found = list(items)
        return str(format_list(found, locale=self._locale)) if found else nothing

    def date(self, day: datetime.date) -> str:
        """A date in words: "25 November 2026", "25. November 2026"."""
        from babel.dates import format_date

        return str(format_date(day, "long", locale=self._locale))

    def month(self, day: datetime.date) -> str:
        """A month in words: "November 2026"."""
        from babel.dates import format_date

        return str(format_date(day, LANGUAGES[self.language].month, locale=self._locale))

    def quantity(self, text: str) -> str:
        """A quantity as `write_quantity` wrote it, with the decimal sign of this language."""
        from babel.numbers import get_decimal_symbol

        number, _, unit = text.partition(" ")
        return f"{number.replace('.', str(get_decimal_symbol(self._locale)))}\u00a0{unit}".rstrip("\u00a0")


def texts_in(language: str, own: Mapping[str, str] | None = None) -> Texts:
    """The words of a language.

    Args:
        language: its code.
        own: word or sentence of a job → how it is said in this language.

    Raises:
        InputError: a language that is not on offer.
    """
    if language not in LANGUAGES:
        raise InputError(f"There is no language '{language}'; there are {listed(list(LANGUAGES))}.")
    return Texts(language, own or {})


@cache
def _catalogue(language: str) -> gettext.NullTranslations:
    if language == "en":
        return gettext.NullTranslations()
    from babel.messages.mofile import write_mo
    from babel.messages.pofile import read_po

    source = resources.files("farpress.papers.typesetting") / "locale" / f"{language}.po"
    target = io.BytesIO()
    with source.open("rb") as file:
        write_mo(target, read_po(file, locale=language))
    target.seek(0)
    return gettext.GNUTranslations(target)
