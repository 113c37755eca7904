"""Compare a computed number with a number as it stands in print."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True)
class Printed:
    """A number copied from a page, digit by digit, as text.

    Attributes:
        text: the digits as printed, trailing zeros included ("7.50" is not "7.5").
        off_by: units in the last place the page itself is known to be wrong by.
        why: the proof that the page, not we, is wrong; required with `off_by`.
    """

    text: str
    off_by: int = 0
    why: str = ""

    def __post_init__(self) -> None:
        """Refuse a loosened comparison that gives no reason."""
        if self.off_by and not self.why:
            raise ValueError(f"{self.text}: say why the printed digit is not to be held")

    def agrees_with(self, computed: float) -> bool:
        """Whether the computed number would have been printed like this."""
        exponent = Decimal(self.text).as_tuple().exponent
        assert isinstance(exponent, int)
        last_place = float(Decimal(1).scaleb(exponent))
        slack = (0.5 + self.off_by) * last_place
        return abs(computed - float(self.text)) <= slack * (1 + 1e-9)
