"""The wiring paper's table of runs: what is drawn core by core stands in it as what is written at things."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from farpress.case.door import open_job
from farpress.papers.builders.basis import make_basis
from farpress.papers.builders.make import paper_of
from farpress.papers.typesetting.paper import Cell

JOB = """
farpress: 2
job: Sedge Barn
premises:
  barn:
    supplies:
      main: {part: supply-24v-2a, branches: {"2": {fuse: 500 mA}}}
      small: {supply: dc, voltage: 12 V, rated: 1 A, efficiency: 80 %, fed: {from: main, cable: {part: flex-2x0.5, length: 7 m}}}
    receivers:
      R1:
        part: receiver-4
        at: [0, 0, 2]
        outputs: {1: {kind: pulse, for: 5 s, works: lock.release}}
        low_cell: {form: relay, current_max: 1 A}
        signals: {low cell: {works: lamp.on, load_from: small, cable: {part: alarm-6x0.22, length: 9 m}}}
    devices:
      lock: {part: magnetic-lock-24v, at: [9, 0, 2]}
      lamp: {device: lamp, supply: dc, voltage: 12 V, current: 20 mA}
    panels:
      alarm: {part: panel-single-eol, zones: {"3": {cable: {part: alarm-6x0.22, length: 41 m}}}}
    cables:
      W7: {part: alarm-8x0.22, length: 41 m, cores: {red: [main.branch 2.+, R1.+], black: [main.branch 2.0, R1.0, lock.0], white: [R1.1.break, lock.+]}}
    links: [[R1.+, R1.1.common]]
"""  # noqa: E501


def test_drawn_cables_signals_and_zones_stand_in_the_table_of_runs(tmp_path: Path) -> None:
    """The receiver over W7, the lock over its contact from branch 2, a converter, a lamp, a zone."""
    (tmp_path / "job.yaml").write_text(JOB, encoding="utf-8")
    basis = make_basis(open_job(tmp_path), day=date(2026, 11, 25))
    table = next(table for table in paper_of(basis, "wiring-schedule").tables() if table.name == "runs")

    def plain(cell: object) -> str:
        return cell.text if isinstance(cell, Cell) else str(cell or "")

    rows = {plain(row[0]): row for row in table.rows}

    assert plain(rows["barn/main, branch 2, + and −"][1]) == "barn/R1, supply + and −"
    assert plain(rows["barn/main, branch 2, + and −"][2]) == "alarm-8x0.22"
    lock = next(row for start, row in rows.items() if start.startswith("barn/R1, output 1"))
    assert plain(lock[2]) == "alarm-8x0.22"
    assert plain(lock[10]) == "main, branch 2"
    assert plain(rows["barn/main, + and −"][1]) == "barn/small, supply + and −"
    assert plain(rows["barn/R1, low cell"][1]) == "barn/lamp.on"
    assert plain(rows["barn/alarm, zone 3"][2]) == "alarm-6x0.22"


@pytest.mark.parametrize(
    ("signal", "terminals"),
    [
        ("{works: lamp.on, load_from: small}", "low cell make and low cell common"),
        ("{works: lamp.on, contact: normally closed}", "low cell break and low cell common"),
    ],
)
def test_the_settings_schedule_names_the_terminals_of_a_signal(
    tmp_path: Path, signal: str, terminals: str
) -> None:
    """Make or break side of the relay, as it is wired; a signal that is wired nowhere says so."""
    start, end = JOB.split("        signals: {low cell: ")
    text = f"{start}        acknowledge: {{form: open collector}}\n        signals: {{low cell: {signal}}}\n"
    (tmp_path / "job.yaml").write_text(text + end.partition("\n")[2], encoding="utf-8")
    basis = make_basis(open_job(tmp_path), day=date(2026, 11, 25))
    table = next(
        table for table in paper_of(basis, "settings-schedule").tables() if table.name == "signals R1"
    )

    assert [row[:5] for row in table.rows] == [
        ("low cell", "relay", terminals, "1 A", "lamp.on"),
        ("acknowledge", "open collector", "acknowledge and 0 V", None, "nothing"),
    ]
