"""What a driven device must do without a press, what may flow back out of it, how a hand lets it go."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from farpress.domain.quantity import Metres, Model, Seconds, Speed

__all__ = ["ByItself", "FlowsBack", "HandRelease", "LeafPair", "OneLane"]


class ByItself(Model):
    """What a thing has to do without anybody's press, as weather, heat, smoke or a level demands."""

    does: Literal["open", "close", "start", "stop"] = Field(description="what has to happen")
    by: Literal["its own control", "a controller", "a receiver's input", "people", "nothing"] | None = Field(
        None, description="what makes it do so, as found on site; people: somebody has to press"
    )
    without_power: bool | None = Field(None, description="it happens during a power cut as well, tried")
    told_by: str | None = Field(
        None,
        description="what tells somebody that it did not happen, wherever he is, in words; 'nothing' where"
        " nothing does",
    )
    harm_after_s: Seconds | None = Field(
        None, description="so long after it should have happened the harm is done"
    )
    before: tuple[str, ...] = Field(
        (), description="what it goes before where both are there at once, as [heat]"
    )


class FlowsBack(Model):
    """What may come back out of a thing into the water that feeds it, and what keeps it from there."""

    what: str = Field(description="in words, as fertiliser, pool water, disinfectant")
    drunk_at: tuple[str, ...] | None = Field(
        None,
        description="taps, troughs and showers that the same water feeds, as [tap in the potting shed]; []"
        " for none",
    )
    kept_by: Literal["air gap", "separating device", "check valve", "nothing"] | None = Field(
        None,
        description="what keeps it from there: a free fall over the rim, a device with a vented space between"
        " two check valves, a check valve alone, or nothing",
    )


class HandRelease(Model):
    """How a drive is let go by hand when its power is gone."""

    how: str | None = Field(
        None, description="in words, as 'lever under the cover'; 'none' where there is none"
    )
    key_with: str | None = Field(
        None, description="who has its key, by name or duty; 'no key' where it needs none"
    )
    reached_from: Literal["inside", "outside", "both sides"] | None = Field(
        None, description="from which side somebody gets at it while it is shut"
    )
    tried: bool | None = Field(None, description="it was tried with the power off, and it moved by hand")


class LeafPair(Model):
    """Two leaves that one drive control moves and that overlap where they meet."""

    opens_first: Literal["upper", "lower"] | None = Field(
        None, description="which begins to open; the upper one lies over the other where they meet"
    )
    opening_delay_s: Seconds | None = Field(
        None, description="so long after the first the other one begins to open"
    )
    closing_delay_s: Seconds | None = Field(
        None, description="so long after the first the other one begins to close"
    )
    closes_first: Literal["upper", "lower"] | None = Field(
        None, description="which begins to close; absent: the one that opened last"
    )


class OneLane(Model):
    """A way that is wide enough for one vehicle, with lights at its ends."""

    lights: Annotated[tuple[str, ...], Field(min_length=2)] = Field(
        description="its traffic lights, one at each end"
    )
    length_m: Metres | None = Field(None, description="from one stop line to the other")
    slowest_m_per_s: Speed | None = Field(
        None, description="of the slowest that drives or rides through it, loaded, uphill, in the dark"
    )
    all_red_s: Seconds | None = Field(
        None, description="so long both ends show stop before the other one shows go, read with a watch"
    )
    kept_by: Literal["controller", "wiring", "people"] | None = Field(
        None, description="what keeps both ends from showing go at once; people: whoever presses"
    )
