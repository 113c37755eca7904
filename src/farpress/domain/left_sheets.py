"""What comes of a thing that is left as it is: off, or open, after a press, a power cut or a lost relay."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from farpress.domain.quantity import CubicMetres, Flow, Model, Seconds

__all__ = ["LeftAlone"]


class LeftAlone(Model):
    """What comes of it when it is left off, or left open: how soon, who is told, what closes it."""

    within_s: Seconds | None = Field(
        None,
        description="from being left so until harm is done, at its worst: a cellar under water, fish without"
        " air, a freezer thawed",
    )
    room_m3: CubicMetres | None = Field(
        None,
        description="instead of a time: what still runs in, or out, until harm is done, as from a pump's"
        " start level to the floor",
    )
    flow_m3_per_h: Flow | None = Field(None, description="what runs in, or out, meanwhile, at its worst")
    tide: bool | None = Field(
        None,
        description="of what lies between two waters: the one outside goes up and down, with the tide or in"
        " flood; false where it never stands higher than the one inside",
    )
    told_by: tuple[str, ...] | None = Field(
        None,
        description="what tells somebody of it in time, past the receiver, in words: a high-water alarm of"
        " its own; [] for nothing",
    )
    closes_without_power: bool | None = Field(
        None,
        description="of what lets water run: it closes by itself when its power goes, by a spring, a weight,"
        " a flap or a drive with a store, tried",
    )
    by_hand_within_s: Seconds | None = Field(
        None, description="somebody closes it, or sets it going, by hand within this time, at night too"
    )
    level_kept_by: tuple[Literal["level on both sides", "level on one side", "people"], ...] | None = Field(
        None,
        description="of what lies between two waters: what keeps it shut while they stand wrong; [] for"
        " nothing",
    )
