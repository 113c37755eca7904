"""What runs at times near a receiver and fills its channel with noise."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, Field

from farpress.dates import Weekday, stretch_s
from farpress.domain.quantity import Dbm, Model, Seconds, Share

__all__ = ["Interferer"]


def _hours(text: str) -> str:
    """A stretch of a day as it stands.

    Raises:
        ValueError: nothing that can be read as one.
    """
    if stretch_s(text) <= 0.0:
        raise ValueError(f"'{text}' is no stretch of a day: write from and to, as '17:00-20:00'.")
    return text


class Interferer(Model):
    """What makes radio noise at times, as a welder, or sends telegrams on the fobs' channel, as a probe."""

    noise_dbm: Dbm | None = Field(None, description="measured at the receiver while it runs")
    bursts_share: Share | None = Field(
        None, description="share of time that the fobs' channel is taken then; with `hours`: asked"
    )
    hours: Annotated[str, AfterValidator(_hours)] | None = Field(
        None,
        description="of the day, as '17:00-20:00', over midnight too: noise and bursts are those of then",
    )
    days: tuple[Weekday, ...] = Field((), description="on which days of the week; absent: on every day")
    when: str = Field("", description="in words, as 'two afternoons a week'; stands on the card")
    at: tuple[str, ...] = Field((), description="receivers that it disturbs; absent: all of the premises")
    telegram_s: Seconds | None = Field(
        None, description="of what sends on the fobs' channel by itself, as a probe: length of one telegram"
    )
    every_s: Seconds | None = Field(None, description="from one of its telegrams to the next")
    senders: Annotated[int, Field(ge=1, le=10_000)] = Field(1, description="how many of them there are")

    @property
    def at_what_times(self) -> str:
        """When it is, in words; empty where nothing says it."""
        days = ", ".join(day.capitalize() for day in self.days)
        return ", ".join(part for part in (days, self.hours or "", self.when) if part)

    @property
    def sends(self) -> bool:
        """Whether it sends telegrams, so that its pauses leave room for a press."""
        return self.telegram_s is not None or self.every_s is not None
