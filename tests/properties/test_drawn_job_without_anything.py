"""A job with drawn cables from which any one thing is left out: judged or refused, never a traceback."""

from __future__ import annotations

import copy
import io
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from ruamel.yaml import YAML

from farpress.case.door import case_of
from farpress.catalogue.store import load_catalogue
from farpress.cli.first_page_text import first_page_text
from farpress.errors import FarpressError
from farpress.jobfile.reader import read_job_text
from farpress.judging.assess import assess
from farpress.overview.page import first_page

JOB = Path(__file__).parents[1] / "data" / "jobs" / "drawn.yaml"


def paths(node: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    """Every key and every entry of a list, from the top."""
    inner: list[tuple[Any, Any]] = []
    if isinstance(node, dict):
        inner = list(node.items())
    elif isinstance(node, list):
        inner = list(enumerate(node))
    for key, value in inner:
        yield (*path, key)
        yield from paths(value, (*path, key))


@pytest.mark.long
def test_any_one_thing_may_be_missing() -> None:
    """Each removal reads and judges, or says why it cannot be used; most can be."""
    yaml = YAML()
    yaml.width = 1_000_000
    whole = yaml.load(JOB.read_text(encoding="utf-8"))
    catalogue = load_catalogue()
    judged = 0
    for path in [path for path in paths(whole) if path[0] == "premises" and len(path) > 2]:
        less = copy.deepcopy(whole)
        place = less
        for key in path[:-1]:
            place = place[key]
        del place[path[-1]]
        text = io.StringIO()
        yaml.dump(less, text)
        try:
            document = read_job_text(text.getvalue(), known=catalogue.known_names())
        except FarpressError:
            continue
        assert first_page_text(first_page(assess(case_of(document, catalogue, events=()))), job="j")
        judged += 1

    assert judged > 25
