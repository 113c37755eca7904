"""How long a design takes: `python benchmarks/design.py [FOLDER ...]`, else for the three examples.

Each example is laid bare first: its receivers, supplies and cables are taken away and what they work is left
as a wish. Processor time of each variant, of all places looked at included. Prints only; nothing is asserted.
"""

from __future__ import annotations

import os
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT / "src")]
os.environ["FARPRESS_NO_CACHE"] = "1"
EXAMPLES = ("larkfen-house", "tallowmere-court", "brindlemark")
FOLDERS = [Path(word) for word in sys.argv[1:]] or [ROOT / "examples" / name for name in EXAMPLES]


def main() -> None:
    """One line a variant, and one a job."""
    from farpress.case.door import open_job
    from farpress.core.mending.choice import Option, cheapest_choice
    from farpress.design.anew import anew_from
    from farpress.design.design import design
    from farpress.kept.units import forget_all

    cheapest_choice(options=[Option(1, frozenset({"a"}))], worth={"a": 2})  # no job pays for its loading
    for folder in FOLDERS:
        forget_all()
        begun, begun_s = time.process_time(), time.monotonic()
        case = open_job(folder)
        stands = bool([name for house in case.job.premises.values() for name in house.receivers])
        designs = design(anew_from(case, ["all"] if stands else []).case)
        took_s = time.process_time() - begun
        for found in designs.variants:
            figures = found.figures
            print(
                f"  {found.variant}: {figures.boxes} receivers, {figures.metres:.0f} m,"
                f" {figures.minutes / 60:.1f} h; {figures.kept} of {figures.promises} promises kept,"
                f" {figures.fails} faults left"
            )
        print(
            f"{folder.name}: {designs.places} places, {took_s:.1f} s of processor time,"
            f" {time.monotonic() - begun_s:.1f} s on the clock"
        )


if __name__ == "__main__":
    main()
