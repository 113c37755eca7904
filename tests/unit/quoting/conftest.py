"""A small job of another kind than the examples, and lists of an invented firm."""

from __future__ import annotations

from pathlib import Path

import pytest

from farpress.case.case import Case
from farpress.case.door import open_job
from farpress.quoting.norms import Norms, pattern_norms
from farpress.quoting.prices import PriceList, prices_of_table
from farpress.quoting.quotation import FirmLists
from farpress.quoting.terms import terms_of_table

STABLE = """\
farpress: 2
job: Hollin Stables
details: {customer: Orla Fenn}
premises:
  yard:
    levels: {tack room: {floor: 0 m, clear: 2.4 m}}
    walls:
      - {level: tack room, build: brick 240 mm, along: [[0, 0], [6, 0], [6, 5], [0, 5], [0, 0]]}
    places: {lane: {at: [20, -10], sees: [gate]}, barn: {at: [30, 8], sees: [lamp]}}
    supplies: {main: {part: supply-12v-3a, battery: {part: lead-7ah}, branches: {doors: {fuse: 1 A}}}}
    receivers:
      R1:
        part: receiver-4-socket
        at: [1, 1, 1.8]
        level: tack room
        antenna: {part: whip, at: [3, -0.5, 2.2], tilt: 0 deg, coax: {part: rg58, length: 4.5 m}}
        fed: {from: main, cable: {part: solid-2x1.0, length: 60 m}}
        outputs:
          1: {kind: pulse, for: 0.5 s, works: gate.start, cable: {part: alarm-6x0.22, length: 60 m}}
          2: {kind: toggle, works: lamp.on, load_from: main, cable: {part: solid-2x1.0, length: 60 m}}
    devices:
      gate: {part: sliding-drive, at: [20, -8]}
      lamp:
        {device: lamp, supply: dc, voltage: 12 V, current: 0.4 A, at: [30, 8], inputs: {"on": {logic: "on"}}}
functions:
  open: {output: yard/R1/1, kind: open}
  barn light: {output: yard/R1/2, kind: light}
groups:
  riders: {fob: fob-4, count: 5, spares: 2, buttons: {1: open}}
  grooms: {fob: fob-4, buttons: {1: barn light}}
promises:
  - {to: riders, function: open, from: lane}
  - {to: grooms, function: barn light, from: barn, importance: should}
"""

PRICES = """\
article|unit|price, EUR|tax|supplier|order no|cost, EUR|comes with
receiver-4-socket|piece|210.00||Brackley Radio|B4|130.00|2 x fob-4
fob-4|piece|31.40||Brackley Radio||17.70|
solid-2x1.0|drum of 100 m|71.00||Quarrel Electric|||
alarm-6x0.22|100 m|48.00||Quarrel Electric||26.00|
fob label|box of 50 pieces|7.95|reduced|||
rg58|piece|1.10||||
work|h|57.00||||
"""

TERMS = """\
term|value
currency|EUR
tax|20 %
tax reduced|5 %
rounding|half even
rounded at|line
valid|30
cable waste|10 %
"""


def table_of(text: str) -> list[list[str]]:
    """Cells of a list written with bars."""
    rows = [line.split("|") for line in text.splitlines()]
    return [[*row, *[""] * len(rows[0])][: len(rows[0])] for row in rows]


def job_of(text: str, folder: Path) -> Case:
    """A job from its text, written and opened."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "job.yaml").write_text(text, encoding="utf-8")
    return open_job(folder)


@pytest.fixture(scope="module")
def stable(tmp_path_factory: pytest.TempPathFactory) -> Case:
    """A stable yard: a gate for riders, a barn light that is only wished for."""
    return job_of(STABLE, tmp_path_factory.mktemp("stable"))


@pytest.fixture(scope="session")
def firm() -> FirmLists:
    """Prices, terms and norms of an invented firm."""
    prices: PriceList = prices_of_table(table_of(PRICES))
    norms: Norms = pattern_norms()
    return FirmLists(prices, norms, terms_of_table(table_of(TERMS)))
