"""What runs at times near a receiver and fills its channel with noise."""

from __future__ import annotations

from pydantic import Field

from farpress.domain.quantity import Dbm, Model

__all__ = ["Interferer"]


class Interferer(Model):
    """Something that runs at times and makes radio noise: a welder, diathermy, a drive."""

    noise_dbm: Dbm | None = Field(None, description="measured at the receiver while it runs")
    when: str = Field("", description="in words, as 'two afternoons a week'; stands on the card")
    at: tuple[str, ...] = Field((), description="receivers that it disturbs; absent: all of the premises")
