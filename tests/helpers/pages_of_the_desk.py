"""The pages of the desk that tests look at, and what axe-core finds serious on one.

axe-core by Deque Systems, rules for WCAG 2.0 to 2.2 A and AA, as shipped in the package axe-core-python.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import axe_core_python
from playwright.sync_api import Page

AXE = (Path(axe_core_python.__file__).parent / "axe.min.js").read_text(encoding="utf-8")
RUN = (
    "axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'],"
    " resultTypes: ['violations']})"
)
PAGES = [
    "promises",
    "mend",
    "design",
    "plan",
    "wiring",
    "wiring/drawn?moment=open+gate",
    "meter?each=1",
    "rehearsal",
    "hunt",
    "keys",
    "takeover",
    "proving",
    "proving/walk",
    "papers",
    "quote",
    "upkeep",
    "seen",
    "faults?words=the+gate+stops+half+way",
    "job",
    "job/receivers",
    "versions",
]


def serious(page: Page) -> list[str]:
    """What axe-core finds serious or critical on a page as it is, each with its element."""
    if not page.evaluate("'axe' in window"):  # a second look at one page takes a third of the first
        page.evaluate(AXE)
    found: dict[str, Any] = page.evaluate(RUN)
    return [
        f"{one['id']} ({one['impact']}): {node['html'][:140]} {node.get('failureSummary', '')[:160]}"
        for one in found["violations"]
        if one["impact"] in ("serious", "critical")
        for node in one["nodes"][:3]
    ]
