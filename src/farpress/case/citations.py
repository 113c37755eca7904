"""Where the limits of the logic's judgements come from, each with its mark.

One name for each ground, so that the same limit is never cited in two ways.
"""

from __future__ import annotations

from typing import Final

from farpress.sources import Citation, Mark

__all__ = [
    "CHOICE",
    "CODE_SPACE",
    "EN_12453",
    "EN_12453_TABLE",
    "EN_13637",
    "EN_50134",
    "GIVEN",
    "MACHINES",
    "MAINS",
    "OVERTRAVEL",
    "PRACTICE",
    "PRESSES",
    "RADIO",
]

PRACTICE: Final = Citation("common practice", mark=Mark.PRACTICE)
CHOICE: Final = Citation("limit chosen for this program", mark=Mark.CHOICE)
GIVEN: Final = Citation("job file", mark=Mark.GIVEN)
PRESSES: Final = Citation("presses taken as independent and at random", mark=Mark.COMPUTED)
EN_12453: Final = Citation("EN 12453", "2017", "doors and gates: requirements and tests", Mark.MEMORY)
EN_12453_TABLE: Final = Citation(
    "EN 12453", "2000", "Table 1, minimum protection of the main closing edge", Mark.MEMORY
)
OVERTRAVEL: Final = Citation(
    "guidance on EN 12453", place="hold-to-run: overtravel at most 100 mm", mark=Mark.COPY
)
EN_13637: Final = Citation("EN 13637", place="electrically controlled escape doors", mark=Mark.MEMORY)
EN_50134: Final = Citation("EN 50134", place="social alarm systems", mark=Mark.MEMORY)
MACHINES: Final = Citation(
    "essential requirements for machinery", place="start only by voluntary action", mark=Mark.COPY
)
MAINS: Final = Citation("IEC 60364", place="national wiring rules", mark=Mark.MEMORY)
RADIO: Final = Citation("rule of this program", place="radio is never a safety function", mark=Mark.CHOICE)
CODE_SPACE: Final = Citation(
    "number of possible codes of a twelve-switch fob", place="2 to the power of 12", mark=Mark.COMPUTED
)
