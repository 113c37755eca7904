"""What runs at times near a receiver and fills its channel with noise."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from farpress.domain.quantity import Dbm, Model, Seconds

__all__ = ["Interferer"]


class Interferer(Model):
    """What makes radio noise at times, as a welder, or sends telegrams on the fobs' channel, as a probe."""

    noise_dbm: Dbm | None = Field(None, description="measured at the receiver while it runs")
    when: str = Field("", description="in words, as 'two afternoons a week'; stands on the card")
    at: tuple[str, ...] = Field((), description="receivers that it disturbs; absent: all of the premises")
    telegram_s: Seconds | None = Field(
        None, description="of what sends on the fobs' channel by itself, as a probe: length of one telegram"
    )
    every_s: Seconds | None = Field(None, description="from one of its telegrams to the next")
    senders: Annotated[int, Field(ge=1, le=10_000)] = Field(1, description="how many of them there are")

    @property
    def sends(self) -> bool:
        """Whether it sends telegrams, so that its pauses leave room for a press."""
        return self.telegram_s is not None or self.every_s is not None
