"""Any story on any example: it is played or refused in words, and what is played makes sense."""

from __future__ import annotations

import contextlib
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from farpress.case.case import Case
from farpress.case.door import open_job
from farpress.core.rehearsal.model import TICK, StateModel, join
from farpress.core.rehearsal.ready import make_ready
from farpress.core.rehearsal.running import Runner
from farpress.errors import InputError
from farpress.rehearsal.building import build_site
from farpress.rehearsal.play import play
from farpress.rehearsal.site import neighbours, thing_id
from helpers.rehearsal_jobs import JOBS, job_of
from survey import ROOT


@cache
def _house() -> Case:
    return open_job(ROOT / "examples" / "larkfen-house")


_WHO = st.sampled_from(["parents", "mirela at home", "odetta", "Tavi Ostrovane", "gardener"])
_WHAT = st.one_of(
    st.tuples(_WHO, st.sampled_from("1234")).map(lambda t: f"{t[0]} press {t[1]}"),
    st.tuples(_WHO, st.sampled_from("1234"), st.integers(1, 40)).map(
        lambda t: f"{t[0]} hold {t[1]} for {t[2]} s"
    ),
    st.sampled_from(["power off", "power on", "lost for 0.5 s", "under gate", "clear gate", "keypad"]),
)
_STORY = st.lists(st.tuples(st.integers(0, 900), _WHAT), min_size=1, max_size=6)


@pytest.mark.long
@settings(max_examples=15, deadline=None)
@given(parts=_STORY)
def test_any_story_is_played_or_refused_in_words(parts: list[tuple[int, str]]) -> None:
    """No traceback; spans lie inside the line, in order, one state at a time."""
    story = "; ".join(f"{tenths / 10:g} s: {what}" for tenths, what in parts)
    try:
        timeline = play(_house(), story)
    except InputError:
        return  # told in words; anything else fails the test

    for track in timeline.tracks:
        ends = 0.0
        for span in track.spans:
            assert ends - 1e-9 <= span.from_s <= span.to_s <= timeline.ends_s + 1e-9
            ends = span.to_s


@settings(max_examples=40, deadline=None)
@given(text=st.text(max_size=60))
def test_any_text_for_a_story_is_refused_in_words(text: str) -> None:
    """Whatever is typed: a story or our own error, nothing else."""
    with contextlib.suppress(InputError):
        assert play(_house(), text).job == "Larkfen House"


@settings(max_examples=60, deadline=None)
@given(name=st.sampled_from(sorted(JOBS)), data=st.data())
def test_whatever_happens_a_part_keeps_its_laws(name: str, data: st.DataObject) -> None:
    """Without power nothing is on; interlocked directions are never both on; a leaf stands between its
    ends.
    """
    case = job_of(name)
    site = build_site(case, neighbours(case, tuple(case.outputs())), lengths=True, exact=True)
    laws = {
        start: f"not power and {start.removesuffix('_start')}_on"
        for start in site.starts
        if start.endswith("_start")
    }
    leaves = [thing_id(path) for path, thing in site.things.items() if thing.kind == "leaf"]
    laws |= {
        d: f"{d}_pos > {d}_N or ({d}_mode == 1 and {d}_pos == {d}_N) or ({d}_mode == 3 and {d}_pos == 0)"
        for d in leaves
    }
    runner = Runner(make_ready(join([site.model, StateModel(bad=laws)]), slicing=False))
    state = runner.network.starts
    for event in data.draw(st.lists(st.sampled_from([*runner.events, TICK, TICK, TICK]), max_size=60)):
        taken = runner.tick(state) if event == TICK else runner.step(state, event)
        if taken is not None:
            state = taken[0]
            assert taken[1] == 0, event


def test_a_search_may_be_cancelled_from_outside() -> None:
    """The progress call may raise; nothing is swallowed."""
    from farpress.rehearsal.rules import rehearse

    class _Stop(Exception):
        pass

    def stop(text: str) -> None:
        raise _Stop

    with pytest.raises(_Stop):
        rehearse(_house(), progress=stop)
