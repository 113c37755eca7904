"""Our circuit solver beside ngspice on the same circuits, and how it grows to 10 000 nodes.

Run: python benchmarks/wiring_solver.py
Prints the median of several runs by the clock, and the ratio of the two in the same run: by the clock, and
in processor time, which others who work on the same machine stretch less. ngspice is started as a program
and reads its netlist from a file; what an empty circuit takes it is shown apart.
Last come all supplies of an example job in every corner.
"""

from __future__ import annotations

import random
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests")]

from farpress.core.wiring.elements import Element, Resistor, VoltageSource  # noqa: E402
from farpress.core.wiring.netlist import netlist  # noqa: E402
from farpress.core.wiring.network import solve  # noqa: E402
from helpers import random_circuits  # noqa: E402


def median_s(work: Callable[[], object], times: int) -> tuple[float, float]:
    """Time of several runs after one that is not counted: median by the clock, and mean of the
    processor in this program and those it starts [s].
    """
    work()
    taken, worked = [], []
    for _ in range(times):
        start, before = time.perf_counter(), processor_s()
        work()
        taken.append(time.perf_counter() - start)
        worked.append(processor_s() - before)
    return statistics.median(taken), statistics.fmean(worked)


def processor_s() -> float:
    """Time of the processor in this program and in those it has waited for [s]."""
    children = resource.getrusage(resource.RUSAGE_CHILDREN)
    return time.process_time() + children.ru_utime + children.ru_stime


def theirs(circuits: list[list[Element]]) -> Callable[[], object]:
    """Ngspice on all of them in one file, nothing printed."""
    lines = ["benchmark"]
    for number, circuit in enumerate(circuits):
        lines += netlist(circuit, prefix=f"c{number}x").lines
    text = "\n".join([*lines, ".control", "op", "quit 0", ".endc", ".end", ""])

    def work() -> object:
        with tempfile.TemporaryDirectory() as folder:
            file = Path(folder) / "circuit.cir"
            file.write_text(text)
            return subprocess.run(["ngspice", "-b", str(file)], capture_output=True, check=False)

    return work


def main() -> None:
    """Print the table."""
    dice = random.Random(1)
    print(f"{'circuits':40} {'nodes':>7} {'ours':>10} {'ngspice':>10} {'ratio':>7} {'processor':>10}")
    empty: list[list[Element]] = [[VoltageSource("v", "a", "0", 1.0), Resistor("r", "a", "0", 1.0)]]
    rows: list[tuple[str, list[list[Element]], int]] = [
        ("one resistor (its start alone)", empty, 9),
        ("60 supplies with shared returns", [random_circuits.shared_returns(dice) for _ in range(60)], 9),
        ("60 supervised loops", [random_circuits.loop(dice) for _ in range(60)], 9),
        ("20 feeds over diodes", [random_circuits.diode_feed(dice) for _ in range(20)], 9),
        ("a feeder", [random_circuits.feeder(500)], 5),
        ("a feeder", [random_circuits.feeder(1500)], 5),
        ("a feeder", [random_circuits.feeder(5000)], 3),
    ]
    for name, circuits, times in rows:
        nodes = sum(len(netlist(circuit).nodes) - 1 for circuit in circuits)
        ours_s, ours_cpu_s = median_s(lambda those=circuits: [solve(circuit) for circuit in those], 3 * times)
        theirs_s, theirs_cpu_s = median_s(theirs(circuits), times)
        print(
            f"{name:40} {nodes:7} {1e3 * ours_s:7.1f} ms {1e3 * theirs_s:7.1f} ms {ours_s / theirs_s:7.3f}"
            f" {ours_cpu_s / theirs_cpu_s:10.3f}"
        )
    _court()


def _court() -> None:
    from farpress.case.corners import corners
    from farpress.case.door import open_job

    case = open_job(ROOT / "examples" / "tallowmere-court")
    supplies = [(premises, name) for premises, house in case.job.premises.items() for name in house.supplies]
    taken, _ = median_s(lambda: [corners(case, premises, name) for premises, name in supplies], 9)
    print(f"\nThe court's supplies in all corners: {1e3 * taken:.1f} ms")


if __name__ == "__main__":
    main()
