"""Write down what the examples' findings are today: tests/frozen/data/findings.csv.

Our own earlier results, so that a change is noticed; never a reference. A change that moves one is listed in
a `numbers` fragment with its reason, and this is run again.
"""

from __future__ import annotations

import csv
import io

from farpress.case.door import open_job
from farpress.judging.assess import assess
from survey import ROOT

FILE = ROOT / "tests" / "frozen" / "data" / "findings.csv"
JOBS = ("larkfen-house", "tallowmere-court", "brindlemark")
HEAD = (
    "job",
    "code",
    "about",
    "verdict",
    "value",
    "limit",
    "margin",
    "doubt",
    "unit",
    "stake",
    "bars",
    "advice",
)


def rows() -> list[tuple[str, ...]]:
    """One row a finding, numbers to five significant digits."""
    return [
        (
            job,
            finding.code,
            finding.about,
            str(finding.verdict),
            *(_digits(number) for number in (finding.value, finding.limit, finding.margin, finding.doubt)),
            finding.unit,
            str(finding.stake),
            "bars" if finding.bars else "",
            "advice" if finding.advice else "",
        )
        for job in JOBS
        for finding in assess(open_job(ROOT / "examples" / job)).findings
    ]


def _digits(number: float | None) -> str:
    return "" if number is None else f"{number:.5g}"


def text() -> str:
    """The whole table."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(HEAD)
    writer.writerows(rows())
    return out.getvalue()


if __name__ == "__main__":
    FILE.write_text(text(), encoding="utf-8", newline="\n")
    print(FILE.relative_to(ROOT))
