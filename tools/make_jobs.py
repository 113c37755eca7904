"""Make varied jobs by the thousand, for trials of the firm's shelf: `python tools/make_jobs.py FOLDER --count
1000`.

Every name, address and person is put together from invented pieces. The same seed gives
the same jobs to the byte. Some are sound, many have a weak or broken promise, and with
`--broken` some cannot be read at all. Not a model of any real stock of jobs.
"""

from __future__ import annotations

import argparse
import random
from dataclasses import dataclass
from pathlib import Path

from farpress.domain.acts import (
    Act,
    FobDeleted,
    FobHandedIn,
    FobIssued,
    FobLearned,
    FobLost,
    FobReceived,
    LowCell,
)

TOWNS = (
    "Morrowby",
    "Ostrand",
    "Oakmire",
    "Vessing",
    "Lowdrift",
    "Sarnbeck",
    "Fellgate",
    "Quillhaven",
    "Tarnholt",
    "Brackley Sands",
)
STREETS = (
    "Quillfen Lane",
    "Fenwick Row",
    "Sawpit Road",
    "Stonepit Lane",
    "Old Harbour",
    "Thornwick Rise",
    "Mill Bank",
    "Larch Walk",
    "Kiln Street",
)
FIRST = (
    "Mirela",
    "Dorian",
    "Tavi",
    "Ilse",
    "Odetta",
    "Pim",
    "Brask",
    "Juno",
    "Wren",
    "Torvin",
    "Hesper",
    "Ondric",
    "Selka",
    "Maro",
    "Linna",
    "Joss",
)
LAST = (
    "Ostrovane",
    "Vardel",
    "Holm",
    "Tarsk",
    "Hollis",
    "Ashgrove",
    "Marrow",
    "Vale",
    "Fennick",
    "Sorrel",
    "Quayle",
    "Thrupp",
    "Nettle",
    "Ambry",
)
WALLS = (
    "brick 365 mm",
    "brick 240 mm",
    "sand-lime 240 mm",
    "cavity brick",
    "reinforced concrete 200 mm",
    "timber frame wall",
    "natural stone 500 mm",
)
PANES = ("coated glazing", "plain glazing", "triple coated glazing", "timber door", "steel door")
SENSITIVITY_DBM = (-106, -103, -100, -97, -94)


@dataclass(frozen=True)
class Made:
    """A job made up: its name, the text of its file, and what its record shall hold (kind and body)."""

    name: str
    text: str
    entries: tuple[Act, ...]
    people: tuple[str, ...]


def made_job(number: int, *, seed: int = 1, broken: bool = False) -> Made:
    """One job; the same number and seed give the same job."""
    chance = random.Random(f"{seed}/{number}")
    town, street = chance.choice(TOWNS), chance.choice(STREETS)
    family = chance.choice(LAST)
    name = f"{family} {chance.choice(('House', 'Court', 'Yard', 'Lodge', 'Works'))} {number:04d}"
    people = list(
        dict.fromkeys(
            f"{chance.choice(FIRST)} {family if chance.random() < 0.6 else chance.choice(LAST)}"
            for _ in range(chance.randint(2, 7))
        )
    )
    own = chance.random() < 0.5
    part = "RX-data-sheet" if own else "receiver-4"
    width, depth = chance.uniform(8, 22), chance.uniform(7, 16)
    wall = chance.choice(WALLS)
    receivers = chance.randint(1, 3)
    far = chance.uniform(2, 15)
    lines = [
        f"# made up for trials, number {number}",
        "farpress: 1",
        f"job: {name}",
        "region: europe",
        "details:",
        f"  customer: {family} family",
        f"  address: {chance.randint(1, 90)} {street}, {town}",
        f"  responsible_person: {people[0]}",
    ]
    if own:
        lines += [
            "parts:",
            "  RX-data-sheet:",
            "    kind: receiver",
            "    like: receiver-4",
            "    source: data sheet in the box",
            f"    sensitivity: {chance.choice(SENSITIVITY_DBM)} dBm",
            "    voltage_min: 9 V",
            f"    capacity: {chance.choice((60, 200, 1000))}",
        ]
    lines += [
        "premises:",
        "  house:",
        f"    address: {chance.randint(1, 90)} {street}, {town}",
        f"    surroundings: {chance.choice(('residential', 'rural', 'city', 'business'))}",
        f"    noise_floor: {chance.choice((-115, -112, -108))} dBm",
        "    levels:",
        "      ground: {floor: 0 m, clear: 2.5 m}",
        "    walls:",
        (
            f"      - {{level: ground, build: {wall}, along: [[8, 20], [{8 + width:.1f}, 20],"
            f" [{8 + width:.1f}, {20 + depth:.1f}], [8, {20 + depth:.1f}], [8, 20]]}}"
        ),
    ]
    for step in range(chance.randint(0, 5)):
        x = 8 + width * (step + 1) / 7
        lines.append(
            f"      - {{level: ground, build: {chance.choice(('brick 115 mm', 'plasterboard', 'stud wall'))},"
            f" along: [[{x:.1f}, 20], [{x:.1f}, {20 + depth:.1f}]], openings: [{{from: 1 m, width: 0.9 m,"
            f" head: 2.0 m, build: {chance.choice(PANES)}}}]}}"
        )
    lines += [
        "    places:",
        f"      street: {{at: [13, {-far:.1f}], pressed: in car}}",
        "      porch: {at: [13, 18.5]}",
        f"      inside: {{at: [{8 + width / 2:.1f}, {20 + depth / 2:.1f}], level: ground}}",
        "    supplies:",
        (
            "      main: {part: supply-12v-1a5,"
            f" {_battery(chance) if own and chance.random() < 0.3 else ''}other_load:"
            f" {chance.choice((20, 46, 110))} mA}}"
        ),
        "    receivers:",
    ]
    for box in range(1, receivers + 1):
        lines += [
            f"      R{box}:",
            f"        part: {part}",
            (
                f"        at: [{8 + width * chance.random():.1f}, {20 + depth * chance.random():.1f},"
                f" {chance.uniform(1.2, 2.4):.1f}]"
            ),
            (
                "        fed: {from: main, cable: {part:"
                f" {chance.choice(('flex-2x0.75', 'flex-2x0.75', 'alarm-6x0.22'))}, length:"
                f" {chance.randint(1, 12)} m}}}}"
            ),
            "        outputs:",
            (
                f"          1: {{kind: pulse, for: {chance.choice((0.3, 0.5, 1.0))} s, works: gate{box}.open,"
                f" cable: {{part: alarm-6x0.22, length: {chance.randint(5, 60)} m}}, after_power_return:"
                " off}"
            ),
        ]
        if chance.random() < 0.3:
            lines.append(
                f"          2: {{kind: pulse, for: 4 s, works: strike{box}.release, load_from: main,"
                " suppression: diode, cable: {part:"
                f" {chance.choice(('flex-2x1.5', 'flex-2x1.5', 'alarm-6x0.22'))}, length:"
                f" {chance.randint(5, 30)} m}}, after_power_return: off}}"
            )
    doors = {box for box in range(1, receivers + 1) if f"works: strike{box}.release" in "\n".join(lines)}
    lines.append("    devices:")
    for box in range(1, receivers + 1):
        lines.append(
            f"      gate{box}: {{part: {chance.choice(('sliding-drive', 'swing-drive', 'garage-drive'))}, at:"
            f" [{10 + box}, 2], travel: {chance.randint(12, 28)} s, safeguards: [beams, edge]}}"
        )
        if box in doors:
            lines.append(f"      strike{box}: {{part: strike-12v, at: [{12 + box}, 19.5]}}")
    functions = [f"open gate {box}" for box in range(1, receivers + 1)] + [
        f"door {box}" for box in sorted(doors)
    ]
    lines.append("functions:")
    lines += [f"  open gate {box}: {{output: house/R{box}/1, kind: open}}" for box in range(1, receivers + 1)]
    lines += [f"  door {box}: {{output: house/R{box}/2, kind: unlock}}" for box in sorted(doors)]
    lines += ["people:", *(f"  {one}: {{age: {chance.randint(9, 80)}}}" for one in people), "groups:"]
    buttons = ", ".join(f"{button}: {function}" for button, function in enumerate(functions[:4], 1))
    half = max(1, len(people) // 2)
    for group, some in (("family", people[:half]), ("others", people[half:])):
        if some:
            lines.append(
                f"  {group}: {{fob: fob-4, people: [{', '.join(some)}], buttons: {{{buttons}}}, spares:"
                f" {chance.randint(0, 2)}, presses: {chance.randint(1, 12)} per day, kept:"
                f" {chance.choice(('in hand', 'in pocket', 'in car'))}}}"
            )
    lines.append("promises:")
    for function in functions:
        lines.append(
            f"  - {{to: family, function: {function}, from: {chance.choice(('street', 'porch', 'inside'))},"
            f" within: {chance.choice((1, 2, 3, 3))} presses, at_least: {chance.choice((80, 90, 95))} %}}"
        )
    if len(people) > half:
        lines.append(f"  - {{to: others, function: {functions[0]}, from: street, importance: should}}")
    lines += [
        "rules:",
        f"  - {{never: works after power return, of: [{functions[0]}]}}",
        (
            f"register: {{churn: {chance.randint(0, 25)} %, growth: {chance.randint(0, 5)} %, delete_within:"
            " 24 h}"
        ),
        "",
    ]
    text = "\n".join(lines)
    if broken:
        text = text.replace("part: supply-12v-1a5", "part: supply-12v-1a5x").replace(
            "length: 2 m", "length: 2"
        )
    return Made(name, text, _entries(chance, people, receivers), tuple(people))


def _battery(chance: random.Random) -> str:
    changed = f"{chance.choice((2021, 2023, 2025, 2026))}-{chance.randint(1, 12):02d}"
    return f"battery: {{part: lead-7ah, changed: {changed}}}, standby: {chance.choice((8, 12, 24))} h, "


def _entries(
    chance: random.Random, people: list[str], receivers: int
) -> tuple[tuple[str, dict[str, object]], ...]:
    """Fobs issued and learned, some lost, some handed in and not deleted, some with a low cell."""
    entries: list[Act] = []
    for number, person in enumerate(people, 1):
        fob = f"F{number:03d}"
        entries += [
            FobReceived(
                fob=fob,
                type="fob-4",
                cell_date=f"{chance.choice((2022, 2023, 2024, 2025))}-{chance.randint(1, 12):02d}",
            ),
            FobIssued(fob=fob, person=person, group="family"),
        ]
        entries += [
            FobLearned(fob=fob, receiver=f"house/R{box}", output="1", button=str(box))
            for box in range(1, receivers + 1)
        ]
        fate = chance.random()
        if fate < 0.08:
            entries.append(FobLost(fob=fob))
            if chance.random() < 0.4:
                entries.append(
                    FobDeleted(fob=fob, receiver="house/R1", evidence="pressed ten times, no answer")
                )
        elif fate < 0.14:
            entries.append(FobHandedIn(fob=fob))
        elif fate < 0.2:
            entries.append(LowCell(fob=fob, receiver="house/R1"))
    return tuple(entries)


def write_jobs(folder: Path, *, count: int, seed: int = 1, broken: int = 0) -> None:
    """A folder a job, each with its file; `person` in an event becomes a mark in the job's own record."""
    for number in range(1, count + 1):
        made = made_job(number, seed=seed, broken=number <= broken)
        home = folder / f"job-{number:04d}"
        home.mkdir(parents=True)
        (home / "job.yaml").write_text(made.text, encoding="utf-8")


def main() -> None:
    """The command."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--broken", type=int, default=0, help="how many of them cannot be read")
    given = parser.parse_args()
    write_jobs(given.folder, count=given.count, seed=given.seed, broken=given.broken)
    print(f"{given.count} jobs in {given.folder}")


if __name__ == "__main__":
    main()
