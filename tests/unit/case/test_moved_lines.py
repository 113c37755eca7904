"""A value on another line of the job file is the same; what was found of it names the new line."""

from __future__ import annotations

from dataclasses import dataclass, replace

import pytest

from farpress.case.case import Case
from farpress.case.changed import with_changes
from farpress.case.differences import differences
from farpress.case.door import open_job
from farpress.case.moved_lines import are_moved, moved_lines, with_lines_moved
from farpress.domain.finding import Assessment, Change
from farpress.judging import assess as judging
from farpress.judging.as_json import assessment_json
from farpress.judging.assess import assess
from farpress.judging.taking_over import forget_judged
from farpress.sources import Citation, Mark
from helpers.project import EXAMPLES

HERE = Citation("data sheet", place="job.yaml, line 31", mark=Mark.GIVEN)
THERE = replace(HERE, place="job.yaml, line 30")


@pytest.fixture(scope="module")
def case() -> Case:
    """An example."""
    return open_job(EXAMPLES / "larkfen-house")


def test_only_the_line_may_differ() -> None:
    """Another document, mark or word beside the line is another source."""
    assert are_moved(HERE, THERE)
    assert not are_moved(HERE, HERE)
    assert not are_moved(HERE, replace(THERE, document="label"))
    assert not are_moved(HERE, replace(THERE, mark=Mark.MEASURED))
    assert not are_moved(HERE, replace(THERE, place="job.yaml, line 30, no source named"))


@dataclass(frozen=True)
class _Found:
    sources: tuple[Citation, ...]
    name: str = "a"


def test_lines_are_moved_wherever_they_stand_and_nothing_else_is_touched() -> None:
    """In tuples, tables and objects; what names none of the lines is the very same object."""
    lines = {HERE: THERE}
    other = Citation("EN 1", place="line 3")
    value = ({"a": (HERE, other)}, _Found((HERE,)), frozenset({HERE}), ["b", HERE])
    moved = ({"a": (THERE, other)}, _Found((THERE,)), frozenset({THERE}), ["b", THERE])
    assert with_lines_moved(value, lines) == moved
    for plain in ((_Found((other,)), {"a": (1, 2.0)}), _Found((other,)), "word", None):
        assert with_lines_moved(plain, lines) is plain
    assert with_lines_moved(value, {}) is value


def _without_a_line(case: Case) -> Case:
    """A key less at the top of the parts: all that stand below move up."""
    assert case.document is not None
    part = case.document.tree.child("parts").items  # type: ignore[union-attr]
    for name, (_, _, node) in part.items():
        for key in ("says", "source"):
            if node.child(key) is not None:
                return with_changes(case, (Change(("parts", name, key), None),))
    raise LookupError("no own part has words")


def test_a_line_less_above_moves_what_stands_below_and_changes_nothing_of_it(case: Case) -> None:
    """Without the lines every value below would count as another one."""
    after = _without_a_line(case)
    lines = moved_lines(case.equipment, after.equipment)
    assert len(lines) > 20
    assert all(are_moved(old, new) for old, new in lines.items())
    assert len(differences(case, after, lines)) < len(differences(case, after)) / 4


def test_sources_that_fall_together_or_part_are_not_moved(case: Case) -> None:
    """What cites both would name one line where it named two."""
    name, part = next(
        (name, part) for name, part in case.equipment.devices.items() if len(set(part.origins.values())) > 1
    )
    lines = [source for source in part.origins.values() if "line " in source.place]
    one = {value: replace(source, place=lines[0].place) for value, source in part.origins.items()}
    together = replace(case.equipment, devices={**case.equipment.devices, name: replace(part, origins=one)})
    assert moved_lines(case.equipment, together) == {}
    assert moved_lines(together, case.equipment) == {}
    assert moved_lines(case.equipment, case.equipment) == {}


def test_findings_taken_over_name_the_lines_where_things_stand_now(
    case: Case, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Equal to a whole judging in every byte, and few rooms were asked again."""
    after = _without_a_line(case)
    asked: list[str] = []
    judged = judging._judged
    monkeypatch.setattr(
        judging,
        "_judged",
        lambda reader, room, tell: (asked.append(room.__name__), judged(reader, room, tell))[1],
    )
    forget_judged()
    assess(case)
    rooms = len(asked)
    edited: Assessment = assess(after)
    assert len(asked) - rooms < rooms / 2
    forget_judged()
    whole = assess(replace(after))
    assert edited == whole
    assert assessment_json(edited) == assessment_json(whole)
