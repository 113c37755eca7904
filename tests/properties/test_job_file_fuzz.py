"""Whatever stands in a job file: it is read, or refused with faults a person can act on.

Cases are made with fixed seeds from the sample job and the examples: on the text (signs, lines,
indentation, bytes) and on the tree (values, keys, deep junk). `FARPRESS_FUZZ_CASES=100000`
runs as many by hand.
"""

from __future__ import annotations

import json
import os
import random

import pytest
import yaml

from farpress.errors import JobFileError
from farpress.jobfile.faults import faults_text
from farpress.jobfile.reader import read_job_text
from farpress.jobfile.source import decode
from farpress.jobfile.text_to_tree import text_to_tree
from helpers.project import ROOT
from helpers.work import counted_work

pytestmark = pytest.mark.long

CASES = int(os.environ.get("FARPRESS_FUZZ_CASES", "2000"))
BATCHES = 8
MOST_CALLS = 1_000_000
"""Calls of functions that reading one file may take: ten times what the largest example takes."""

KNOWN = {
    kind: frozenset(names)
    for kind, names in json.loads((ROOT / "tests/data/jobs/known.json").read_text()).items()
}
SAMPLE = (ROOT / "tests/data/jobs/quarry-cottage.yaml").read_text(encoding="utf-8")
EXAMPLES = [path.read_text(encoding="utf-8") for path in sorted(ROOT.glob("examples/*/job.yaml"))]

TOKENS = [
    "{",
    "}",
    "[",
    "]",
    ":",
    ": ",
    "- ",
    ",",
    "#",
    "&a ",
    "*a",
    "!!str ",
    "!x ",
    "|",
    ">",
    "'",
    '"',
    "\\",
    "%",
    "@",
    "`",
    "\t",
    "\n",
    "\r",
    "\0",
    "\x07",
    "\x85",
    "\u2028",
    "\ufeff",
    "\u202e",
    "é",
    "中",
    "😀",
    "---\n",
    "...\n",
    "<<: ",
    "? ",
    "null",
    "~",
    "true",
    "no",
    "010",
    "0x1F",
    "1e999",
    ".nan",
    "-.inf",
    "9" * 400,
    "12:30",
    "5 M",
    "0.5",
    "1,5 m",
    "−3 dBm",
    "x" * 5000,
    "[" * 60,
    "{a: " * 50,
    "..",
    "../../etc",
    "a/b",
    "kind: receiver",
]
JUNK: list[object] = [
    None,
    True,
    False,
    0,
    -1,
    1,
    3.5,
    1e300,
    float("inf"),
    float("nan"),
    10**30,
    "",
    " ",
    "x",
    "5",
    "5 m",
    "-5 m",
    "5 mm",
    "0.5 mm",
    "1e400 m",
    "5 parsecs",
    "433.92 Hz",
    "95 %",
    "400 %",
    "no",
    "\x00",
    "a\nb",
    "y" * 400,
    "a.b.c",
    "a/b/c",
    "/",
    ".",
    "..",
    [],
    {},
    [[]],
    [None],
    [1, 2],
    [1, 2, 3, 4],
    ["x", "y"],
    [{}],
    {"": 1},
    {"x": 1},
    {"kind": "receiver"},
    {"kind": 5},
    {"short": "open gate"},
    {"1": None},
    {"at": [1, 2]},
    [[1, 2], ["a", "b"]],
    {"from": "main"},
]
KEYS = [
    "",
    "x",
    "1",
    "no",
    "part",
    "kind",
    "at",
    "from",
    "for",
    "says",
    "level",
    "travl",
    "outputs",
    "length_m",
    "a/b",
    "<<",
    "str",
    "Button",
    "k" * 301,
    "\t",
]


def plain_tree(text: str) -> object:
    """The values of a job file, numbers as numbers."""
    tree, faults = text_to_tree(decode(text.encode(), None))
    assert tree is not None
    assert not faults
    return tree.data


def text_case(text: str, chance: random.Random) -> str | bytes:
    """The text with one to four changes of its signs, lines or bytes."""
    for _ in range(chance.choice([1, 1, 1, 2, 4])):
        at = chance.randrange(len(text) + 1)
        kind = chance.randrange(9)
        if kind == 0:
            text = text[:at] + chance.choice(TOKENS) + text[at:]
        elif kind == 1:
            text = text[:at] + text[at + chance.choice([1, 1, 2, 5, 40]) :]
        elif kind == 2:
            text = text[:at] + chance.choice(TOKENS) + text[at + 1 :]
        elif kind == 3:
            text = text[:at]
        elif kind in (4, 5, 6):
            lines = text.split("\n")
            number = chance.randrange(len(lines))
            if kind == 4:
                lines.insert(chance.randrange(len(lines)), lines[number])
            elif kind == 5:
                del lines[number]
            else:
                lines[number] = chance.choice([" ", "  ", "\t", "- "]) + lines[number]
            text = "\n".join(lines)
        elif kind == 7:
            words = text.split(" ")
            first, second = chance.randrange(len(words)), chance.randrange(len(words))
            words[first], words[second] = words[second], words[first]
            text = " ".join(words)
        else:
            data = bytearray(text.encode())
            for _ in range(chance.randrange(1, 4)):
                data[chance.randrange(len(data))] = chance.randrange(256)
            return bytes(data)
        if not text:
            return text
    return text


def tree_case(tree: object, chance: random.Random) -> str:
    """The values with one to three of them replaced, removed, renamed or doubled, written out again."""
    whole = {"top": json.loads(json.dumps(tree))}
    for _ in range(chance.choice([1, 1, 2, 3])):
        place: object = whole
        key: object = "top"
        for _ in range(chance.randrange(1, 9)):
            below = place[key]  # type: ignore[index]
            if not isinstance(below, dict | list) or not below:
                break
            place, key = (
                below,
                (chance.choice(list(below)) if isinstance(below, dict) else chance.randrange(len(below))),
            )
        kind = chance.randrange(6)
        if kind < 3 or place is whole:
            place[key] = chance.choice(JUNK)  # type: ignore[index]
        elif kind == 3:
            del place[key]  # type: ignore[attr-defined]
        elif isinstance(place, dict):
            place[chance.choice(KEYS)] = place.pop(key) if kind == 4 else place[key]
        else:
            place.insert(0, chance.choice(JUNK))  # type: ignore[attr-defined]
    return yaml.dump(
        whole["top"],
        Dumper=yaml.CSafeDumper,
        sort_keys=False,
        allow_unicode=True,
        default_flow_style=chance.choice([None, True, False]),
    )


def judged(case: str | bytes) -> str:
    """The word "read" or "refused"; fails where the answer is neither, takes much work, or helps nobody."""
    error = None
    with counted_work() as work:
        try:
            read_job_text(case, known=KNOWN)
        except JobFileError as refused:
            error = refused
    assert work.calls < MOST_CALLS, case[:300]
    if error is not None:
        assert 0 < len(error.faults) < 500
        for fault in error.faults:
            assert 15 < len(fault.says) < 1500, fault
            for word in (
                "pydantic",
                "Input should",
                "Traceback",
                "NoneType",
                "dict_",
                "valid string",
                "yaml.",
                "{text}",
                "Extra inputs",
            ):
                assert word not in fault.says, fault
            assert fault.line >= 0
            assert fault.column >= 0
            assert fault.file == "job.yaml"
        text = faults_text(error)
        assert all(len(line) <= 80 or " " not in line.strip() for line in text.split("\n")), text
    return "read" if error is None else "refused"


@pytest.mark.parametrize("batch", range(BATCHES))
def test_every_mutated_job_is_read_or_refused_with_sentences(batch: int) -> None:
    """Nothing but a job or a list of faults ever comes back, and no case takes more work than it should."""
    chance = random.Random(20261125 + batch)
    texts = [SAMPLE] * 60 + EXAMPLES  # the examples are ten times as long; few cases need be
    trees = {text: plain_tree(text) for text in {SAMPLE, *EXAMPLES}}
    answers = []
    for number in range(CASES // BATCHES):
        text = chance.choice(texts)
        case = text_case(text, chance) if number % 2 else tree_case(trees[text], chance)
        try:
            answers.append(judged(case))
        except Exception as error:
            raise AssertionError(f"batch {batch}, case {number}: {error!r}\n{case[:4000]!r}") from error
    assert answers.count("refused") > len(answers) * 0.5
    assert "read" in answers, "some changes are harmless, as one in a remark"
