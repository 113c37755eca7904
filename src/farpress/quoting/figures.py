"""Figures as a firm writes them in its lists: exact, and never read in two ways."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from typing import Final, Literal

from farpress.errors import InputError
from farpress.keys.table import CellNumber

__all__ = ["DecimalSign", "figure_of", "plain_figure", "share_of", "written_share"]

DecimalSign = Literal["", "point", "comma"]
"""The decimal sign of a list as its owner says it; empty where nobody does: then a point, and only where it
cannot mean thousands."""

_PLAIN: Final = re.compile(r"[-−]?[0-9]{1,12}(\.[0-9]{1,9})?")
_THOUSANDS: Final = re.compile(r"[-−]?[1-9][0-9]{0,2}[.,][0-9]{3}")
_WITH_COMMA: Final = re.compile(r"[-−]?[0-9]{1,12},[0-9]{1,9}")
_WITH_BOTH: Final = re.compile(
    r"[-−]?[0-9]{1,3}((?P<group>[.,])[0-9]{3})(?:(?P=group)[0-9]{3})*(?!(?P=group))[.,][0-9]{1,9}"
)
_SIGNS: Final = {
    "point": re.compile(r"[-−]?([0-9]{1,12}|[0-9]{1,3}(,[0-9]{3})+)(\.[0-9]{1,9})?"),
    "comma": re.compile(r"[-−]?([0-9]{1,12}|[0-9]{1,3}(\.[0-9]{3})+)(,[0-9]{1,9})?"),
}


def figure_of(text: str, *, sign: DecimalSign = "") -> Decimal:
    """One figure of a list, exact.

    Args:
        text: as it stands in the cell; a number of a workbook is read as the number it is.
        sign: the decimal sign of the list, where its owner says it.

    Raises:
        InputError: no figure, or one that means different amounts in different countries.

    Example:
        >>> figure_of("12.50"), figure_of("1.250,00", sign="comma")
        (Decimal('12.50'), Decimal('1250.00'))
    """
    given = text.strip()
    if isinstance(text, CellNumber):
        return Decimal(given)
    if sign:
        if not _SIGNS[sign].fullmatch(given):
            raise InputError(f"'{given[:40]}' is no figure with a decimal {sign}")
        thousands, decimal = (",", ".") if sign == "point" else (".", ",")
        return Decimal(given.replace("−", "-").replace(thousands, "").replace(decimal, "."))
    if _THOUSANDS.fullmatch(given):
        digits = given.replace(",", "").replace(".", "")
        point = given.replace(",", ".")
        raise InputError(
            f"'{given}' is {digits} in one country and {point} in another: write {digits} or {point}0, or say"
            " which decimal sign the list has"
        )
    if _WITH_COMMA.fullmatch(given):
        raise InputError(
            f"'{given}' has a comma for a point: write {given.replace(',', '.')}, or say that the list has"
            " decimal commas"
        )
    if _WITH_BOTH.fullmatch(given):
        raise InputError(
            f"'{given}' has signs between thousands: leave them out, or say which decimal sign it has"
        )
    if not _PLAIN.fullmatch(given):
        raise InputError(
            f"'{given[:40]}' is no figure; write it as 12.50, the unit and the currency elsewhere"
        )
    return Decimal(given.replace("−", "-"))


def share_of(text: str, *, sign: DecimalSign = "") -> Fraction:
    """A share written in per cent, exact: "5.5 %".

    Raises:
        InputError: no per cent sign, no figure, or one outside 0 to 100 %.
    """
    given = text.strip()
    if not given.endswith("%"):
        raise InputError(f"'{given[:40]}' is no share; write it in per cent, as 20 %")
    share = Fraction(figure_of(given[:-1].strip(), sign=sign)) / 100
    if not 0 <= share <= 1:
        raise InputError(f"'{given[:40]}' lies outside 0 % to 100 %")
    return share


def plain_figure(figure: Decimal) -> str:
    """A figure without needless zeros and without a power of ten.

    Example:
        >>> plain_figure(Decimal("2.0")), plain_figure(Decimal("100")), plain_figure(Decimal("0.50"))
        ('2', '100', '0.5')
    """
    short = figure.normalize()
    return f"{short:f}" if short else "0"


def written_share(share: Fraction) -> str:
    """A share in per cent, exact where it was read from a figure in per cent; `share_of` reads it back.

    Example:
        >>> written_share(Fraction(55, 1000))
        '5.5 %'
    """
    hundred = share * 100
    return f"{plain_figure(Decimal(hundred.numerator) / Decimal(hundred.denominator))} %"
