"""Remedies as they are shown: made on a copy, judged, and found to help; their figures come back."""

from __future__ import annotations

import dataclasses

import pytest

from farpress.case.case import Case
from farpress.case.changed import with_changes
from farpress.case.door import open_job
from farpress.domain.finding import Assessment, Change, Finding, Remedy, Verdict
from farpress.jobfile.starter import starter_text
from farpress.judging.assess import assess
from farpress.judging.check import without_remedies
from farpress.judging.remedies.effects import costs_elsewhere, effects_of, fault_key
from farpress.judging.remedies.shown import shown_remedies, with_shown_remedies
from farpress.overview.headlines import figures


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> Case:
    """A gate whose pulse is far too short, and a siren too far away on thin cores."""
    text = starter_text("Alder").replace("for: 0.5 s", "for: 50 ms")
    text = text.replace(
        "    devices:\n",
        "    devices:\n"
        "      siren: {part: siren-12v, at: [30, 2],"
        " fed: {from: main, cable: {part: alarm-6x0.22, length: 70 m}}}\n",
    )
    folder = tmp_path_factory.mktemp("alder")
    (folder / "job.yaml").write_text(text, encoding="utf-8")
    return open_job(folder)


@pytest.fixture(scope="module")
def raw(case: Case) -> Assessment:
    """What the judges offer."""
    return assess(case)


PULSE = ("premises", "house", "receivers", "R1", "outputs", "1", "for")


def _of(assessment: Assessment, code: str) -> Finding:
    return next(finding for finding in assessment.findings if finding.code == code)


def test_every_shown_change_cures_and_its_figure_comes_back(case: Case, raw: Assessment) -> None:
    """Applied one by one: the finding holds, nothing breaks, and the effect says the figures of that copy."""
    tried = 0
    for finding in with_shown_remedies(case, raw).findings:
        for remedy in finding.remedies:
            if not remedy.changes:
                continue
            tried += 1
            after = assess(with_changes(case, remedy.changes))
            stands = [other for other in after.findings if fault_key(other) == fault_key(finding)]
            assert {other.verdict for other in stands} <= {Verdict.HOLDS, Verdict.THIN}
            assert not effects_of(raw, after).breaks
            told = figures(stands) if stands else "does not arise"
            assert told in remedy.effect
    assert tried >= 3


def test_nothing_else_is_different(case: Case, raw: Assessment) -> None:
    """Words, figures and chains stay; a finding of a chain has the same remedies as in the list."""
    shown = with_shown_remedies(case, raw)
    bare = [dataclasses.replace(finding, remedies=()) for finding in shown.findings]

    assert bare == [dataclasses.replace(finding, remedies=()) for finding in raw.findings]
    listed = set(map(id, shown.findings))
    assert all(
        id(finding) in listed for chain in shown.promises for link in chain.links for finding in link.findings
    )


@pytest.mark.parametrize(
    ("value", "is_shown"),
    [
        ("300 ms", True),  # what the input needs, and the receiver can be set to
        ("100 ms", False),  # still too short
        ("2 h", False),  # longer than the receiver can be set to: cures one and breaks another
        ("soon", False),  # cannot be read
    ],
)
def test_a_change_that_does_not_help_is_not_shown(
    case: Case, raw: Assessment, value: str, *, is_shown: bool
) -> None:
    """Whoever offers it: it is tried before it is shown."""
    offered = Remedy("Change the pulse", "surely", (Change(PULSE, value),))
    finding = dataclasses.replace(_of(raw, "OUT-01"), remedies=(offered,))
    shown = shown_remedies(case, raw, finding)

    assert any(remedy.changes for remedy in shown) is is_shown
    assert all("surely" not in remedy.effect for remedy in shown)


def test_a_change_that_mends_one_and_breaks_another_is_told_where_nothing_else_is_left(
    case: Case, raw: Assessment
) -> None:
    """The pulse is mended and the supply overloaded: said, without a change to take."""
    load = ("premises", "house", "supplies", "main", "other_load")
    breaks = Remedy("Make it longer.", "surely", (Change(PULSE, "300 ms"), Change(load, "20 A")))
    finding = _of(raw, "OUT-01")
    (alone,) = shown_remedies(case, raw, dataclasses.replace(finding, remedies=(breaks,)))
    beside = shown_remedies(
        case, raw, dataclasses.replace(finding, remedies=(breaks, Remedy("Ask the customer")))
    )

    assert (alone.changes, alone.effect) == ((), "")
    assert alone.does.startswith("Not this alone: “Make it longer” mends it, but ")
    assert "house/main then" in alone.does
    assert [remedy.does for remedy in beside] == ["Ask the customer"]


def test_what_a_person_must_do_has_no_figure_of_its_effect(case: Case, raw: Assessment) -> None:
    """Nobody tried it; and beside a change that was tried a sentence with a figure goes."""
    by_hand = (Remedy("Ask the customer", "99.9 %"), Remedy("At most 20.4 m of it", "10.2 V"))
    cures = Remedy("Make it longer", "", (Change(PULSE, "300 ms"),))
    finding = _of(raw, "OUT-01")
    alone = shown_remedies(case, raw, dataclasses.replace(finding, remedies=by_hand))
    beside = shown_remedies(case, raw, dataclasses.replace(finding, remedies=(*by_hand, cures)))

    assert [remedy.effect for remedy in alone] == ["", ""]
    assert [remedy.does for remedy in beside] == ["Make it longer", "Ask the customer"]


@pytest.mark.parametrize(("shrinks", "told"), [(0.049, False), (0.052, True)])
def test_a_margin_that_shrinks_by_a_twentieth_of_its_limit_is_told(
    raw: Assessment, shrinks: float, told: bool
) -> None:
    """Less is not worth a word: our choice."""
    was = next(
        finding
        for finding in raw.findings
        if finding.verdict is Verdict.HOLDS and finding.margin is not None and finding.limit
    )
    margin = (was.margin or 0.0) - shrinks * abs(was.limit or 0.0)
    after = dataclasses.replace(
        raw,
        findings=tuple(
            dataclasses.replace(finding, margin=margin) if finding is was else finding
            for finding in raw.findings
        ),
    )

    dear = costs_elsewhere(raw, after, besides=_of(raw, "OUT-01"))
    assert (fault_key(was) in {fault_key(finding) for finding in dear}) is told


def test_what_stands_worse_elsewhere_is_named(case: Case, raw: Assessment) -> None:
    """Two amperes more on the supply: its figure then is told, and the finding that was mended is not."""
    after = assess(
        with_changes(case, (Change(("premises", "house", "supplies", "main", "other_load"), "0.5 A"),))
    )
    dear = costs_elsewhere(raw, after, besides=_of(raw, "OUT-01"))

    assert dear
    assert {finding.link for finding in dear} == {"supply"}
    assert costs_elsewhere(raw, raw, besides=_of(raw, "OUT-01")) == ()


def test_a_job_without_a_file_offers_sentences_only(case: Case, raw: Assessment) -> None:
    """Made by a program: there is no file to change, so nothing could be tried."""
    without = dataclasses.replace(case, document=None, folder=None)
    shown = with_shown_remedies(without, raw)

    assert all(not remedy.changes for finding in shown.findings for remedy in finding.remedies)


def test_words_and_figures_are_the_same_without_remedies(case: Case, raw: Assessment) -> None:
    """A copy on which one is tried needs none of its own; everything else is as ever."""
    with without_remedies():
        bare = assess(dataclasses.replace(case))

    assert [dataclasses.replace(finding, remedies=()) for finding in raw.findings] == [
        finding if finding.verdict is not Verdict.UNKNOWN else dataclasses.replace(finding, remedies=())
        for finding in bare.findings
    ]
