"""Is every remedy true that is printed? `python tools/try_remedies.py [FOLDER ...] --count 300 --seed N`.

Jobs are spoilt one place at a time: a number ten or three times as large or small, an entry taken out, a word
in place of another that stands under the same key elsewhere. Of each spoilt job every remedy that is printed
for what was spoilt is written into a folder of its own, read from there and judged by a program that keeps
nothing: the finding must hold then, and the words and figures that were printed must be those found. What
still fails and has no change to offer is counted by its check, with what mending makes of it if asked.
Prints only; exit code 1 where a remedy is not true.
"""

from __future__ import annotations

import argparse
import random
import re
import shutil
import sys
import tempfile
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from farpress.case.case import Case
from farpress.case.changed import with_changes
from farpress.case.door import open_job
from farpress.domain.finding import Assessment, Change, Finding, Verdict
from farpress.errors import FarpressError
from farpress.jobfile.node import Node
from farpress.jobfile.source import FILE_NAME
from farpress.judging.assess import assess
from farpress.judging.check import without_remedies
from farpress.judging.remedies.effects import effects_of, fault_key
from farpress.judging.remedies.shown import with_shown_remedies
from farpress.kept.units import forget_all
from farpress.mending.structural.every import structural_candidates
from farpress.mending.trying import ChangeTrials
from farpress.overview.headlines import figures
from farpress.phrases import carried_on

__all__ = ["Untrue", "spoilt_jobs", "tries_of", "untrue_remedies"]

ROOT = Path(__file__).resolve().parent.parent
EXAMPLES = ("larkfen-house", "tallowmere-court", "brindlemark")

Path_ = tuple[str | int, ...]

_NUMBER = re.compile(r"^(-?\d+(?:\.\d+)?)( ?[A-Za-z%µΩ]+[A-Za-z0-9/]*)?$")
_FACTORS = (0.03, 0.1, 0.3, 3.0, 10.0, 30.0)


@dataclass(frozen=True)
class Untrue:
    """A remedy whose printed words do not come back.

    Attributes:
        finding: what it is for, as code and what it is about.
        does: the remedy.
        printed, found: its effect as printed, and what is found once it is made.
    """

    finding: str
    does: str
    printed: str
    found: str


@dataclass
class Counted:
    """What was tried.

    Attributes:
        remedies: printed and made.
        untrue: of them.
        faults, bare: faults by check, and those of them for which no change is printed.
        built: of the bare ones those that a change of what is built cures.
    """

    remedies: int = 0
    untrue: list[Untrue] = field(default_factory=list)
    faults: Counter[str] = field(default_factory=Counter)
    bare: Counter[str] = field(default_factory=Counter)
    built: Counter[str] = field(default_factory=Counter)
    examples: dict[str, str] = field(default_factory=dict)


def spoilt_jobs(case: Case, seed: int, *, keys: Collection[str] = ()) -> Iterator[tuple[Change, Case]]:
    """The job spoilt at one place, without end; what no reader takes is passed over.

    A key is drawn first and a place of it then: the many corners of walls do not crowd out the rest.

    Args:
        case: a job that was read from a file.
        seed: of the draw.
        keys: last keys of the places that are spoilt, as "length"; none for every place.
    """
    assert case.document is not None
    chance = random.Random(seed)
    places = [
        place
        for top in ("premises", "parts", "groups", "functions", "promises", "rules")
        if (node := case.document.tree.child(top)) is not None
        for place in _places(node, (top,))
    ]
    words: dict[object, list[object]] = {}
    kinds: dict[tuple[str, ...], list[tuple[Path_, Node]]] = {}
    for path, node in places:
        words.setdefault(path[-1], []).append(node.data)
        if not keys or path[-1] in keys:
            kinds.setdefault(tuple(str(key) for key in path if not str(key).isdigit()), []).append(
                (path, node)
            )
    while True:
        path, node = chance.choice(chance.choice(list(kinds.values())))
        change = Change(path, _spoilt(node.data, words[path[-1]], chance))
        if change.value == node.data:
            continue
        try:
            yield change, with_changes(case, [change])
        except FarpressError:
            continue


def _places(node: Node, path: Path_) -> Iterator[tuple[Path_, Node]]:
    children: list[tuple[str | int, Node]] = [(key, child) for key, (_, _, child) in node.items.items()]
    children += list(enumerate(node.elements))
    for key, child in children:
        if child.kind == "scalar":
            yield (*path, key), child
        yield from _places(child, (*path, key))


def _spoilt(value: object, alike: Sequence[object], chance: random.Random) -> object:
    """Another value of the same kind, far off; or nothing."""
    if chance.random() < 0.15:
        return None
    if isinstance(value, bool):
        return not value
    found = _NUMBER.match(str(value))
    if found is None:
        return chance.choice(alike)
    number = float(found[1]) * chance.choice(_FACTORS)
    if isinstance(value, int):
        return max(round(number), 0)
    return f"{number:.4g}{found[2]}" if found[2] else float(f"{number:.4g}")


def tries_of(case: Case, *, besides: Iterable[str] = ()) -> tuple[Assessment, list[tuple[Finding, int]]]:
    """The job judged with what is printed; each finding with the number of a remedy that is a change.

    Args:
        case: the job.
        besides: faults, by their key, that are left out: they were looked at already.
    """
    known = set(besides)
    shown = with_shown_remedies(case, assess(case))
    return shown, [
        (finding, number)
        for finding in shown.findings
        if fault_key(finding) not in known
        for number, remedy in enumerate(finding.remedies)
        if remedy.changes
    ]


def untrue_remedies(
    case: Case, before: Assessment, tries: Sequence[tuple[Finding, int]], folder: Path
) -> list[Untrue]:
    """Those remedies whose word or figure does not come back once they are written, read and judged anew.

    Args:
        case: the job.
        before: as it was judged.
        tries: as `tries_of` gives them.
        folder: for the jobs that are written; must not be there yet.
    """
    found = []
    for finding, number in tries:
        remedy = finding.remedies[number]
        shutil.rmtree(folder, ignore_errors=True)
        changed = with_changes(case, remedy.changes).document
        assert case.folder is not None
        assert changed is not None
        shutil.copytree(case.folder, folder)
        (folder / FILE_NAME).write_text(changed.source.text, encoding="utf-8")
        forget_all()
        with without_remedies():
            after = assess(open_job(folder))
        stands = [other for other in after.findings if fault_key(other) == fault_key(finding)]
        told = _first(remedy.effect)
        if not stands:
            is_true, says = told == "then it does not arise any more", "it does not arise any more"
        else:
            says = f"then {figures(stands) or carried_on(stands[0].says.rstrip('.'))}"
            is_true = told == says or remedy.effect.startswith(says)
        words = {other.verdict for other in stands}
        if words - {Verdict.HOLDS, Verdict.THIN} and finding.verdict is Verdict.FAILS:
            is_true, says = False, f"{says} ({', '.join(sorted(words))})"
        if effects_of(before, after).breaks:
            is_true, says = False, f"{says}; something else breaks"
        if not is_true:
            found.append(Untrue(finding.key, remedy.does, remedy.effect, says))
    shutil.rmtree(folder, ignore_errors=True)
    return found


def _first(effect: str) -> str:
    """The part about the finding itself, without what it costs elsewhere."""
    return effect.partition("; ")[0]


def _count(counted: Counted, case: Case, folder: Path, besides: set[str], what: str, *, built: bool) -> None:
    before, tries = tries_of(case, besides=besides)
    counted.remedies += len(tries)
    counted.untrue += untrue_remedies(case, before, tries, folder)
    fails = [
        finding
        for finding in before.findings
        if finding.verdict is Verdict.FAILS and fault_key(finding) not in besides
    ]
    bare = [finding for finding in fails if not any(remedy.changes for remedy in finding.remedies)]
    counted.faults.update(finding.code for finding in fails)
    counted.bare.update(finding.code for finding in bare)
    trials = ChangeTrials(case, before)
    for finding in bare:
        cured = built and any(
            fault_key(finding) in (trial := trials.of((made,))).cured and not trial.breaks
            for made in structural_candidates(case, [finding])
        )
        if cured:
            counted.built[finding.code] += 1
        else:
            counted.examples.setdefault(finding.code, f"{what}: {finding.about}: {finding.says}")


def main() -> int:
    """Try them and say what was found."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folders", nargs="*", type=Path)
    parser.add_argument("--count", type=int, default=300, help="spoilt jobs, in turn from the folders")
    parser.add_argument("--seed", type=int, default=1130)
    parser.add_argument(
        "--built", action="store_true", help="try what could be built too, which takes longer"
    )
    wanted = parser.parse_args()
    folders = wanted.folders or [ROOT / "examples" / name for name in EXAMPLES]
    cases = [open_job(folder) for folder in folders]
    counted, whole = Counted(), Counted()
    with tempfile.TemporaryDirectory() as scratch:
        place = Path(scratch) / "tried"
        stood = []
        for folder, case in zip(folders, cases, strict=True):
            _count(whole, case, place, set(), folder.name, built=wanted.built)
            stood.append(
                {fault_key(found) for found in assess(case).findings if found.verdict is Verdict.FAILS}
            )
            print(
                f"{folder.name} as it is: {whole.remedies} remedies until now, {len(whole.untrue)} untrue",
                flush=True,
            )
        spoilt = [spoilt_jobs(case, wanted.seed + number) for number, case in enumerate(cases)]
        for number in range(wanted.count):
            which = number % len(cases)
            change, case = next(spoilt[which])
            what = f"{folders[which].name} {'.'.join(map(str, change.path))} = {change.value}"
            had = len(counted.untrue)
            _count(counted, case, place, stood[which], what, built=wanted.built)
            for untrue in counted.untrue[had:]:
                print(f"UNTRUE {what}\n  {untrue}", flush=True)
            if number % 20 == 19:
                print(
                    f"{number + 1} of {wanted.count}: {counted.remedies} remedies",
                    file=sys.stderr,
                    flush=True,
                )
    for untrue in whole.untrue:
        print(f"UNTRUE {untrue}")
    _told("as they are", whole)
    _told(f"{wanted.count} spoilt", counted)
    return 1 if whole.untrue or counted.untrue else 0


def _told(what: str, counted: Counted) -> None:
    print(
        f"{what}: {counted.remedies} remedies made, {len(counted.untrue)} untrue;"
        f" {counted.faults.total()} faults, {counted.bare.total()} without a printed change,"
        f" {counted.built.total()} of them cured by what could be built"
    )
    for code, count in counted.bare.most_common():
        example = counted.examples.get(code, "")
        print(f"  {code}: {count} of {counted.faults[code]}, built {counted.built[code]}  {example[:220]}")


if __name__ == "__main__":
    sys.exit(main())
