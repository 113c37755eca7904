"""The guided survey: whatever is answered, the job reads without faults and can be judged."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from farpress.catalogue.store import load_catalogue
from farpress.domain.kinds import kind_called
from farpress.editing.survey import answers_of
from farpress.editing.survey_job import survey_text, survey_values
from farpress.editing.survey_things import NEVERS, THINGS, thing_called
from farpress.errors import InputError
from farpress.jobfile.node import plain, plain_value
from farpress.jobfile.reader import read_job_text
from farpress.jobfile.source import decode
from farpress.jobfile.text_to_tree import text_to_tree

KNOWN = load_catalogue().known_names()


def _answers(**changes: Any) -> dict[str, Any]:
    return {
        "name": "Thornwick Rise",
        "things": [{"kind": "sliding gate", "name": "gate"}],
        "groups": [{"name": "family", "functions": ["open gate"]}],
        "places": [{"name": "street", "functions": ["open gate"]}],
        "nevers": list(NEVERS),
        **changes,
    }


def test_every_kind_of_thing_makes_a_job_that_reads() -> None:
    """All of them at once, on as many receivers as it takes; up and down stay on one receiver."""
    things = [{"kind": kind, "name": f"my {kind}"} for kind in THINGS]
    job = read_job_text(
        survey_text(
            answers_of(
                _answers(
                    things=things,
                    groups=[{"name": "family", "functions": ["open my barrier"]}],
                    places=[{"name": "street", "functions": ["open my barrier"]}],
                )
            )
        ),
        known=KNOWN,
    ).job
    outputs = [
        output
        for house in job.premises.values()
        for box in house.receivers.values()
        for output in box.outputs.values()
    ]

    assert len(outputs) == sum(len(thing.functions) for thing in THINGS.values())
    assert len(job.rules) >= len(NEVERS)


names = st.text(
    st.characters(codec="utf-8", exclude_categories=["Cc", "Cs", "Zl", "Zp"], exclude_characters="/"),
    min_size=1,
    max_size=30,
).filter(lambda one: one.strip() == one and one)


@given(
    name=names,
    thing=names,
    group=names,
    place=names,
    away=st.floats(0, 500),
    storeys=st.integers(1, 6),
    side=st.sampled_from(["front", "back", "left", "right", "inside"]),
)
@settings(max_examples=25, deadline=None)
def test_names_of_any_script_and_any_distance_make_a_job_that_reads(
    name: str, thing: str, group: str, place: str, away: float, storeys: int, side: str
) -> None:
    """Quotes, colons, braces and hash signs included; the names come back as they were given."""
    given_ = _answers(
        name=name,
        storeys=storeys,
        things=[{"kind": "door", "name": thing, "side": side, "away_m": away}],
        groups=[{"name": group, "functions": [thing]}],
        places=[{"name": place, "side": side, "away_m": away, "functions": [thing]}],
    )
    try:
        answers = answers_of(given_)
    except InputError:
        return
    job = read_job_text(survey_text(answers), known=KNOWN).job

    assert job.job == answers.name
    assert list(job.functions) == [answers.things[0].name]


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"name": ""}, "name"),
        ({"wide_m": -3}, "width of the building is at least 2 m, not -3 m"),
        ({"things": []}, "nothing is said yet about what is to be worked"),
        ({"storeys": 1.5}, "storeys is a whole number"),
        (
            {"places": [{"name": "bay", "away_m": -1, "functions": ["open gate"]}]},
            r"of place 1 \(.bay.\) is at least 0 m",
        ),
        ({"things": [{"kind": "dragon", "name": "x"}]}, "no kind of thing 'dragon'"),
        ({"groups": [{"name": "a", "functions": ["fly"]}]}, "'fly', which nothing does"),
        ({"places": [{"name": "a", "functions": []}]}, "no function yet"),
        (
            {
                "groups": [
                    {"name": "a", "functions": ["open gate"]},
                    {"name": "a", "functions": ["open gate"]},
                ]
            },
            "two groups are called 'a'",
        ),
    ],
)
def test_what_does_not_fit_is_told_all_at_once(changes: dict[str, Any], says: str) -> None:
    """In the words of the survey."""
    with pytest.raises(InputError, match=says):
        answers_of(_answers(**changes))


def test_the_job_of_a_survey_is_laid_out_for_people() -> None:
    """Remarks first; places, outputs and promises on a line each; what is read is what was answered."""
    answers = answers_of(_answers(customer="Alder, family", things=_things()))
    text = survey_text(answers)
    lines = text.split("\n")

    assert lines[0].startswith("# A first job out of the guided survey.")
    assert "  customer: 'Alder, family'" in lines
    assert "      street: {at: [15.5, 7]}" in lines
    assert "  - {to: family, function: open gate, from: street, within: 2 presses, at_least: 95 %}" in lines
    up = next(line for line in lines if "blind.up" in line)
    assert up.startswith("          2: {kind: follow, ")
    assert up.endswith("interlock: 3}")
    tree, faults = text_to_tree(decode(text.encode(), None))
    assert tree is not None
    assert not faults
    assert plain(tree) == plain_value(survey_values(answers))


def _things() -> list[dict[str, str]]:
    return [{"kind": "sliding gate", "name": "gate"}, {"kind": "shutter", "name": "blind"}]


@pytest.mark.parametrize(
    ("word", "kind"),
    [
        ("boom", "barrier"),
        ("Blinds", "shutter"),
        ("lights", "light"),
        ("tap", "water"),
        ("gate", None),
        ("cat", None),
    ],
)
def test_a_thing_may_be_called_as_people_call_it(word: str, kind: str | None) -> None:
    """Words of the table of kinds; one that fits two kinds of gate is asked about."""
    assert thing_called(word) == kind


@pytest.mark.parametrize(
    "key", [key for key, thing in THINGS.items() if not thing.is_panel and key != "door"]
)
def test_what_a_survey_offers_is_a_kind_of_the_table(key: str) -> None:
    """The part behind it is of the kind that its name stands for; a door there is its strike."""
    kind = kind_called(key)

    assert kind is not None
    assert load_catalogue().parts["device"][THINGS[key].part].sheet.device == kind.name
