"""Facts that may be left out of a job, and what must not become better without one.

Used by the removals by hand (`tools/fuzz_meaning.py --removals`) and by the tests; it writes nothing.
"""

from __future__ import annotations

from collections.abc import Iterator

from farpress.case.case import Case
from farpress.domain.finding import Assessment, Finding, Verdict
from farpress.jobfile.node import Node

__all__ = ["Path_", "better_without", "facts_of", "words_of"]

Path_ = tuple[str | int, ...]

TOPS = ("premises", "parts", "register", "functions", "groups", "people")
"""Where facts stand; rules and promises are wishes, readings and traffic are what was seen."""

NOT_A_FACT = frozenset(
    {"says", "address", "details", "rules", "promises", "signed", "along", "north", "underlays"}
)
"""Words for people, what is wanted (leaving a wish out is no missing fact), and pictures."""

NOT_IN_THE_WAY = frozenset(
    {"walls", "steel", "slope", "levels", "traffic", "noise_bursts", "pressed", "housing", "antenna"}
)
"""What stands in the way of radio or troubles it, and what has a stated default: left out, none is there."""

POINTS = frozenset({"at", "along", "outline", "cores"})
"""Lists of which one entry less says something else, and not less: another point, another wire."""


def facts_of(case: Case) -> list[Path_]:
    """Paths of everything that may be left out, whole blocks with what is in them too.

    What is the only entry of a block stands for the block: an empty one says that there is none.

    Args:
        case: a job that was read from a file.
    """
    assert case.document is not None
    tops = case.document.tree.items
    return [fact for top in TOPS if top in tops for fact in _facts(tops[top][2], (top,))]


def _facts(node: Node, path: Path_) -> Iterator[Path_]:
    is_thing = len(path) >= 3 if path[0] == "premises" else len(path) >= 2
    children = [(key, child) for key, (_, _, child) in node.items.items()]
    if not POINTS & set(map(str, path)):
        children += [(str(place), child) for place, child in enumerate(node.elements)]
    for key, child in children:
        if key in NOT_A_FACT | NOT_IN_THE_WAY:
            continue
        whole = (*path, int(key) if node.elements else key)
        if (is_thing or path == ("register",)) and len(children) > 1:
            yield whole
        yield from _facts(child, whole)


def words_of(assessment: Assessment) -> dict[tuple[str, str], Verdict]:
    """The word of each link of each promise, and of each rule."""
    links = {
        (chain.id, str(link.link)): link.verdict for chain in assessment.promises for link in chain.links
    }
    rules = {(f.code, f.about): f.verdict for f in assessment.findings if f.code.startswith("RULE")}
    return links | rules


def better_without(before: Assessment, after: Assessment) -> list[str]:
    """What reads better after a fact was left out, each in words; nothing may.

    A link of a promise or a rule may become unknown, and no better than that. Where something failed, that
    link of the same thing fails or is unknown without the fact, too: a finding must not vanish.
    """
    was, found = words_of(before), []
    for place, word in words_of(after).items():
        if word in (Verdict.HOLDS, Verdict.THIN) and word.rank < was.get(place, word).rank:
            found.append(f"{place[0]}, {place[1]}: {was[place]} -> {word}")
    standing = [finding for finding in after.findings if finding.verdict in (Verdict.FAILS, Verdict.UNKNOWN)]
    for finding in before.findings:
        if finding.verdict is Verdict.FAILS and not any(_stands_for(other, finding) for other in standing):
            found.append(f"{finding.key}: failed, and nothing says that it is unknown")
    return found


def _stands_for(other: Finding, finding: Finding) -> bool:
    """Whether a finding is about the same thing, or is a question about how a job hangs together."""
    if other.key == finding.key:
        return True
    same = set(other.subjects) & set(finding.subjects)
    return bool(same) and (other.link is finding.link or other.code in ("OUT-08", "GAP-01"))
