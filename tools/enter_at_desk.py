"""Enter a job at the desk as a person does, by what can be seen, and count clicks and fields.

    .venv/bin/python tools/enter_at_desk.py [JOB.yaml]

Levels and walls are taken as drawn on the plan already; all the rest is entered in a real browser. At the end
the file that the desk wrote is held against the one that was to be entered; what differs is told, and the
exit code is 1. Without a job the day clinic of the tests is entered; it takes some minutes.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import yaml

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "tools")]

from playwright.sync_api import expect, sync_playwright  # noqa: E402

from entering import Clerk  # noqa: E402 - beside this file
from farpress.catalogue.store import load_catalogue  # noqa: E402
from farpress.jobfile.merging import differences  # noqa: E402
from farpress.jobfile.reader import read_job_text  # noqa: E402
from farpress.jobfile.text_to_values import values_of  # noqa: E402
from helpers.desk import served  # noqa: E402 - of the tests

CLINIC = ROOT / "tests" / "data" / "desk" / "day-clinic.yaml"
ORDER = (
    *("parts", "supplies", "alarm", "devices", "receivers"),
    *("people", "promises", "rules", "traffic", "customer"),
)
DRAWN = ("levels", "walls")
CHROMIUM = "/usr/bin/chromium"


def main(arguments: list[str]) -> int:
    """Enter one job; 0 where the desk wrote the same."""
    text = Path(arguments[0] if arguments else CLINIC).read_text(encoding="utf-8")
    known = load_catalogue().known_names()
    values, job = values_of(text), read_job_text(text, known=known).job
    premises = {
        name: {key: house[key] for key in DRAWN if key in house} for name, house in values["premises"].items()
    }
    begun = {"farpress": 2, "job": values["job"], "region": values["region"], "premises": premises}
    with tempfile.TemporaryDirectory() as home, sync_playwright() as play:
        folder = Path(home) / "entered"
        folder.mkdir()
        (folder / "job.yaml").write_text(yaml.safe_dump(begun, sort_keys=False), encoding="utf-8")
        with served(folder) as desk:
            browser = play.chromium.launch(
                executable_path=CHROMIUM if Path(CHROMIUM).exists() else None,
                args=["--no-sandbox", "--disable-background-networking"],
            )
            expect.set_options(timeout=60_000)
            page = browser.new_page(viewport={"width": 1366, "height": 768})
            page.goto(f"{desk.address}/j/entered/job")
            clerk, begins = Clerk(page, values, job, known), time.monotonic()
            for task in ORDER:
                clerk.enter((task,))
                print(f"{task}: {clerk.clicks} clicks, {clerk.fields} fields so far")
            browser.close()
        made = values_of((folder / "job.yaml").read_text(encoding="utf-8"))
    print(
        f"{clerk.clicks} clicks, {clerk.fields} fields (of them {clerk.tables} tables with {clerk.cells}"
        f" cells), {clerk.letters} letters,"
        f" {time.monotonic() - begins:.0f} s of the machine"
    )
    left = differences(_as_text(made), _as_text({**values, "farpress": made["farpress"]}))
    for change in left:
        print(f"differs at {'.'.join(map(str, change.path))}: {change.value}")
    return 1 if left else 0


def _as_text(value: Any) -> Any:
    """Every value as it is read, numbers as text."""
    if isinstance(value, dict):
        return {str(key): _as_text(member) for key, member in value.items()}
    if isinstance(value, list):
        return [_as_text(member) for member in value]
    if isinstance(value, int | float) and not isinstance(value, bool):
        return f"{value:g}"
    return str(value).lower() if isinstance(value, bool) else str(value)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
