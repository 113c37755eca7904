"""Volts as a meter read them on an installation that is there."""

from __future__ import annotations

from pydantic import Field

from farpress.domain.quantity import Model, SignedVolts

__all__ = ["VoltsRead"]


class VoltsRead(Model):
    """Volts read between two terminals, as found on site; judged beside what the drawn circuit has there."""

    between: tuple[str, str] = Field(
        description="the two terminals, that of the red lead first, as [lock.+, lock.0]"
    )
    volts_v: SignedVolts = Field(description="read; effective ones of alternating current")
    during: str = Field(
        "at rest",
        description="function that is pressed meanwhile, 'everything on' or 'alarm'; absent: at rest",
    )
    mains_off: bool = Field(False, description="read while the battery carried it")
    says: str = Field("", description="remark")
