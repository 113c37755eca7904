"""A chance in the words of the trade."""

from __future__ import annotations

from farpress.sources import Mark, cites

__all__ = ["presses_in_ten"]


@cites("Words for a chance, rounded down", mark=Mark.CHOICE)
def presses_in_ten(share: float) -> str:
    """A chance in the words of the trade; "9 of 10 presses" rounds down, so that it promises nothing extra.

    Example:
        >>> presses_in_ten(0.968), presses_in_ten(0.9961), presses_in_ten(0.02)
        ('9 of 10 presses', '99 of 100 presses', 'hardly any press')
    """
    if share >= 0.99:
        return "99 of 100 presses" if share < 0.999 else "more than 99 of 100 presses"
    tenths = int(share * 10.0 + 1e-9)
    return f"{tenths} of 10 presses" if tenths else "hardly any press"
