"""How long the register and its plans take; `python benchmarks/keys.py`.

Answers are timed inside one process, after the libraries are loaded; the time to start the
command is printed apart. Each line gives processor time, clock time, and the first as a
multiple of the peer's where that says something: on a busy machine the clock says little. The peer is a plain
dictionary in memory built from the same
events: what any register must at least do.
"""

from __future__ import annotations

import os
import random
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from farpress.case.door import open_job
from farpress.core.keys.layout import best_layout
from farpress.core.keys.layout_problem import Holders, Rules, Wanted
from farpress.core.keys.visit_site import VisitSite
from farpress.core.keys.visits import best_tour
from farpress.domain.acts import Act, FobHeard, FobIssued, FobLearned, FobReceived
from farpress.keys.book import open_register
from farpress.keys.counters import exposures
from farpress.keys.due import check_register, due_matters
from farpress.keys.export import register_table, xlsx_bytes
from farpress.keys.importing import import_rows, plan_import
from farpress.keys.layout import plan_layout
from farpress.keys.lost import lost_plan
from farpress.keys.memory import record_heard, record_memory
from farpress.keys.split import plan_split
from farpress.keys.table import read_table
from farpress.keys.waves import Morning, plan_replacement

ROOT = Path(__file__).resolve().parent.parent
RECEIVERS = ("oakmire/O1", "vessing/V1", "lowdrift/L1", "sarnbeck/S1")


def main() -> None:
    """Print one line for each figure."""
    print(f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors; processor time, clock time")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "job"
        shutil.copytree(ROOT / "examples" / "brindlemark", folder)
        register(folder)
        shutil.rmtree(folder)
        shutil.copytree(ROOT / "examples" / "brindlemark", folder)
        importing(folder)
    layouts()
    tours()


def register(folder: Path) -> None:
    """1 000 fobs, 4 receivers, 100 000 events."""
    rng = random.Random(1)
    book = open_register(folder)
    entries: list[Act] = []
    for number in range(1000):
        fob = f"F{number:04}"
        entries.append(FobReceived(fob=fob, serial=f"S{number}"))
        entries.append(
            FobIssued(
                fob=fob,
                pool=f"pool {number % 7}",
                group="fitters",
                organisation=f"firm {number % 5}",
                buttons={"1": ["oakmire gate"]},
            )
        )
        entries += [
            FobLearned(fob=fob, receiver=one, output=output, button=output, slot=str(number))
            for one in RECEIVERS
            for output in ("1", "2")
        ]
    while len(entries) < 100_000:
        entries.append(FobHeard(fob=f"F{rng.randrange(1000):04}", receiver=rng.choice(RECEIVERS)))
    took(
        "writing 100 000 events in one transaction",
        lambda: book.record.append_all(entries, job=book.job, by="benchmark"),
        1,
    )
    took("drawing the register from the first event", lambda: book.register, 1)
    now, case = datetime.now(UTC), book.case
    assert case is not None
    fob = book.register.fobs["F0500"]
    answers: list[tuple[str, Callable[[], object]]] = [
        ("register", lambda: book.register),
        ("search", lambda: book.search("firm 3 vessing")),
        ("history", lambda: book.events_of("F0500")),
        ("check", lambda: check_register(book.register, book.people, case, now=now)),
        ("due", lambda: due_matters(book.register, book.people, case, now=now)),
        ("plan after a loss", lambda: lost_plan(case, fob, leave=datetime.now())),
        ("counters", lambda: exposures(book.register, book.people, case, now=now)),
        ("export as a table", lambda: register_table(book.register, book.people)),
        ("a change: low cell to block", lambda: (book.block("F0001"), book.release("F0001"))),
    ]
    for name, ask in answers:
        took(name, ask, 5)
    mornings = [Morning(datetime(2026, 12, day, 7), datetime(2026, 12, day, 12)) for day in (1, 2)]
    answers += [
        (
            "waves of a replacement",
            lambda: plan_replacement(case, book.register, "oakmire/O1", mornings, stations=2),
        ),
        ("sharing out", lambda: plan_split(case, "oakmire/O1", 2)),
        ("copy rights, all fobs, dry", lambda: book.copy_rights("oakmire", "lowdrift", dry_run=True)),
        ("heard", lambda: record_heard(book, "oakmire/O1", ["F0007"])),
        ("a loss", lambda: (book.lost("F0002"), book.found("F0002"))),
        (
            "memory of 1 000 slots",
            lambda: record_memory(book, "oakmire/O1", [["slot"], *([str(number)] for number in range(1000))]),
        ),
    ]
    for name, ask in answers[-6:]:
        took(name, ask, 3)
    plain: dict[str, list[object]] = {}

    def peer() -> None:
        plain.clear()
        for event in book.record.events(job=book.job):
            plain.setdefault(str(event.particulars.get("fob")), []).append(event.particulars)

    took("peer: all events into a dictionary", peer, 1)
    took("verify the chain", lambda: book.record.breaches(), 1)
    took("export as a spreadsheet", lambda: xlsx_bytes(register_table(book.register, book.people)), 1)
    book.record.close()
    took(
        "whole command: farpress keys search",
        lambda: subprocess.run(
            [sys.executable, "-m", "farpress", "keys", "search", str(folder), "F0500"],
            capture_output=True,
            check=True,
        ),
        3,
    )
    took(
        "whole command: farpress keys --help",
        lambda: subprocess.run(
            [sys.executable, "-m", "farpress", "keys", "--help"], capture_output=True, check=True
        ),
        3,
    )


def importing(folder: Path) -> None:
    """10 000 rows."""
    table = folder / "list.csv"
    table.write_text(
        "Fob;Serial;Name;Company;Group;Receiver;Slot\n"
        + "".join(f"F{i:05};S{i};Person {i};Firm {i % 7};temps;oakmire/O1;{i}\n" for i in range(10_000)),
        encoding="utf-8",
    )
    with open_register(folder) as book:
        rows = read_table(table)
        took("10 000 rows: dry run", lambda: plan_import(rows, book.register, book.people, book.case), 1)
        took("10 000 rows: taken over", lambda: import_rows(book, rows), 1)


def layouts() -> None:
    """The example's 86 people, and 1 000 people in 60 groups over 8 premises with today's plan at random."""
    case = open_job(ROOT / "examples" / "brindlemark")
    took("layout, 86 people, 4 premises", lambda: print("   ", _how(plan_layout(case).layout)), 1)
    rng = random.Random(7)
    kinds = ("open", "unlock", "light", "set", "unset")
    sizes = [1000 // 60 + (at < 1000 % 60) for at in range(60)]
    groups = []
    for at, size in enumerate(sizes):
        wanted = [
            Wanted(f"p{site}", kind, rng.choice((0.5, 1, 2, 4)), (rng.randint(1, 4), kind == "unset"))
            for site in rng.sample(range(8), rng.randint(1, 4))
            for kind in rng.sample(kinds, rng.randint(1, 5))
        ]
        groups.append(Holders(f"g{at}", size, tuple(wanted), type_today=rng.choice(("", "two", "four"))))
    rules = Rules(
        {"four": 4, "two": 2},
        frozenset(("open",)),
        frozenset(("unset",)),
        (("unset", "open"), ("unset", "unlock")),
    )
    took(
        "layout, 1 000 people, 60 groups, 8 premises",
        lambda: print("   ", _how(best_layout(groups=groups, rules=rules, limit_s=60))),
        1,
    )


def tours() -> None:
    """Up to eighteen premises proven, with hours that force further days too; twenty with a bound."""
    rng = random.Random(3)
    for count, hours in (
        (9, (480.0, 1020.0)),
        (12, (480.0, 720.0)),
        (16, (480.0, 1020.0)),
        (18, (480.0, 1020.0)),
        (18, (480.0, 600.0)),
        (20, (480.0, 1020.0)),
    ):
        points = [(rng.uniform(0, 60), rng.uniform(0, 60)) for _ in range(count + 1)]
        travel = [
            [round(((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2) ** 0.5, 1) for b in points] for a in points
        ]
        sites = [VisitSite(rng.randint(1, 10), 6.0, *hours) for _ in range(count)]
        took(
            f"tour of {count} premises",
            lambda travel=travel, sites=sites, hours=hours: print(
                "    hours",
                *hours,
                "gap",
                f"{best_tour(travel_min=travel, sites=sites, begin_min=490.0, limit_s=10).gap:.0%}",
            ),
            1,
        )  # type: ignore[misc]


def _how(layout: object) -> str:
    return (
        f"cost {layout.cost:g}, bound {layout.bound:g}, {'proven' if layout.is_proven else 'not proven'}"
        if layout
        else "none"
    )  # type: ignore[attr-defined]


def took(name: str, what: Callable[[], object], times: int) -> None:
    """Print the median of some runs; processor time with that of commands started."""
    seconds, worked = [], []
    for _ in range(times):
        begun, before = time.perf_counter(), os.times()
        what()
        seconds.append(time.perf_counter() - begun)
        worked.append(sum(after - one for after, one in zip(os.times()[:4], before[:4])))
    print(f"{name:50} {statistics.median(worked):8.3f} s {statistics.median(seconds):8.3f} s", flush=True)


if __name__ == "__main__":
    main()
