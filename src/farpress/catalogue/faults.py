"""The book of faults: complaints, causes and tests, read from its data file.

Its chances are our choice, said so in every answer; a job's own numbers take their place.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any, Final

import yaml

from farpress.catalogue.files import data_text
from farpress.domain.fault import Cause, Complaint, FaultBook, FaultTest
from farpress.errors import InputError
from farpress.sources import Citation, Mark

__all__ = ["FAULT_CHANCES", "load_faults", "read_faults"]

FAULT_CHANCES: Final = Citation("chances of causes and of their signs", mark=Mark.CHOICE)

_KEYS: Final = {
    "causes": {"says", "prior", "from", "judged", "cure", "minutes", "who", "caution"},
    "tests": {"ask", "yes", "no", "minutes", "gate", "leak", "links", "who", "caution", "expects", "needs"},
    "complaints": {"says", "words", "leak", "links"},
}


@cache
def load_faults() -> FaultBook:
    """The book that comes with the package; read once."""
    return read_faults(data_text("faults"))


def read_faults(text: str) -> FaultBook:
    """A book of faults from its text.

    Raises:
        InputError: an unknown key or cause, a chance outside 0 to 1; all of them at once.
    """
    content: dict[str, Any] = yaml.load(text, Loader=getattr(yaml, "CBaseLoader", yaml.BaseLoader))
    wrong = [f"there is no key '{name}'" for name in content if name not in (*_KEYS, "mark")]
    causes = {
        name: _cause(name, row, wrong)
        for name, row in content.get("causes", {}).items()
        if _known("causes", name, row, wrong)
    }
    tests = {
        name: _test(name, row, wrong)
        for name, row in content.get("tests", {}).items()
        if _known("tests", name, row, wrong)
    }
    complaints = {
        int(name): _complaint(name, row, wrong)
        for name, row in content.get("complaints", {}).items()
        if _known("complaints", name, row, wrong)
    }
    for kind, rows in (("test", tests), ("complaint", complaints)):
        wrong += [
            f"{kind} '{name}' names a cause '{cause}' that is not there"
            for name, row in rows.items()
            for cause in row.links
            if cause not in causes
        ]
    wrong += [
        f"test '{name}' needs a cause '{cause}' that is not there"
        for name, test in tests.items()
        for cause in test.needs
        if cause not in causes
    ]
    if wrong:
        raise InputError("The book of faults cannot be used: " + "; ".join(wrong) + ".")
    return FaultBook(causes, tests, complaints)


def _known(kind: str, name: str, row: Mapping[str, Any], wrong: list[str]) -> bool:
    extra = sorted(set(row) - _KEYS[kind])
    wrong += [f"{name}: '{key}' is not a key of {kind}" for key in extra]
    return not extra


def _share(name: str, text: object, wrong: list[str]) -> float:
    try:
        value = float(str(text))
    except ValueError:
        value = -1.0
    if not 0.0 <= value <= 1.0:
        wrong.append(f"{name}: '{text}' is no chance from 0 to 1")
        return 0.0
    return value


def _cause(name: str, row: Mapping[str, Any], wrong: list[str]) -> Cause:
    judged = {}
    for code, chances in row.get("judged", {}).items():
        holds, thin, is_open, fails = (
            _share(f"{name}, {code}", chance, wrong) for chance in (list(chances) + ["missing"] * 4)[:4]
        )
        judged[code] = (holds, thin, is_open, fails)
    return Cause(
        name,
        row["says"],
        _share(name, row.get("prior"), wrong),
        row["cure"],
        float(row["minutes"]),
        judged,
        row.get("from", ""),
        row.get("who", "installer"),
        row.get("caution", ""),
    )


def _links(name: str, row: Mapping[str, Any], wrong: list[str]) -> dict[str, float]:
    return {cause: _share(f"{name}, {cause}", chance, wrong) for cause, chance in row["links"].items()}


def _test(name: str, row: Mapping[str, Any], wrong: list[str]) -> FaultTest:
    return FaultTest(
        name,
        row["ask"],
        row["yes"],
        row["no"],
        float(row["minutes"]),
        _share(name, row["leak"], wrong),
        _links(name, row, wrong),
        int(row.get("gate", 0)),
        row.get("who", "installer"),
        row.get("caution", ""),
        row.get("expects", ""),
        tuple(row.get("needs", ())),
    )


def _complaint(name: str, row: Mapping[str, Any], wrong: list[str]) -> Complaint:
    return Complaint(
        int(name),
        row["says"],
        tuple(row["words"]),
        _share(name, row["leak"], wrong),
        _links(name, row, wrong),
    )
