"""The two searches: exact counts, shortest stories, what cannot be written, what does not finish."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from farpress.core.rehearsal.model import ModelEvent, StateModel, Variable, join
from farpress.core.rehearsal.ready import make_ready
from farpress.core.rehearsal.running import Runner, briefest_story, search_plainly
from farpress.core.rehearsal.search import search_all, search_compiled
from farpress.core.rehearsal.wording import ModelError, parse_expression, parse_statements
from helpers.rehearsal_jobs import JOBS, job_of, network_of
from helpers.worked_models import WORKED, Worked


@pytest.mark.parametrize("worked", WORKED, ids=lambda worked: worked.name)
@pytest.mark.parametrize("search", [search_plainly, search_compiled], ids=["plain", "compiled"])
def test_the_worked_behaviours_have_these_counts_exactly(worked: Worked, search) -> None:
    """States, transitions, steps and ticks of each worked case, by both searches."""
    found = search(make_ready(worked.model, slicing=False), to_the_end=True)

    story = next(iter(found.stories.values()), None)
    assert found.finished
    assert (found.states, found.transitions) == (worked.states, worked.transitions)
    assert (None if story is None else len(story)) == worked.steps
    assert (None if story is None else sum(event.startswith("tick") for event in story)) == worked.ticks


@pytest.mark.parametrize("name", JOBS)
def test_slicing_changes_neither_verdict_nor_length(name: str) -> None:
    """What a condition does not depend on may go: with everything kept the answer is the same."""
    case = job_of(name)
    sliced, whole = (
        search_all(network_of(case), budget=60_000),
        search_all(network_of(case, slicing=False), budget=200_000),
    )

    lengths = [len(found.stories["broken"]) if found.stories else None for found in (sliced, whole)]
    assert sliced.states <= whole.states
    if network_of(case).tick_ms == network_of(case, slicing=False).tick_ms:
        assert lengths[0] == lengths[1]
    assert (lengths[0] is None) == (lengths[1] is None)


_NUMBERS = st.integers(0, 3)
_NAMES = st.sampled_from(["a", "b", "c", "s"])


def _expressions() -> st.SearchStrategy[str]:
    leaves = st.one_of(_NUMBERS.map(str), _NAMES)
    conditions = st.tuples(leaves, st.sampled_from(["<", "<=", ">", ">=", "==", "!="]), leaves).map(
        lambda t: f"({t[0]} {t[1]} {t[2]})"
    )
    whole = st.recursive(
        conditions,
        lambda inner: st.one_of(
            st.tuples(inner, st.sampled_from(["and", "or"]), inner).map(lambda t: f"({t[0]} {t[1]} {t[2]})"),
            inner.map(lambda one: f"(not {one})"),
        ),
        max_leaves=3,
    )
    return whole


_VALUES = st.one_of(
    st.tuples(_NAMES, st.sampled_from(["min", "max"]), _NUMBERS).map(
        lambda t: f"min(max({t[1]}({t[0]}, {t[2]}), 0), 3)"
    ),
    st.tuples(_NAMES, st.sampled_from(["+", "-", "*"]), _NUMBERS).map(
        lambda t: f"max(min({t[0]} {t[1]} {t[2]}, 3), 0)"
    ),
    st.tuples(_expressions(), _NAMES, _NUMBERS).map(lambda t: f"{t[1]} if {t[0]} else {t[2]}"),
    _expressions().map(lambda one: f"1 if {one} else 0"),
)
_ASSIGN = st.tuples(_NAMES, _VALUES).map(lambda t: f"{t[0]} = {t[1]}")


def _indented(text: str) -> str:
    return "\n".join(f"    {line}" for line in text.splitlines())


_STATEMENTS = st.lists(
    st.one_of(
        _ASSIGN,
        st.tuples(_expressions(), _ASSIGN, _ASSIGN).map(
            lambda t: f"if {t[0]}:\n{_indented(t[1])}\nelse:\n{_indented(t[2])}"
        ),
    ),
    min_size=1,
    max_size=3,
).map("\n".join)


@pytest.mark.long
@settings(max_examples=60, deadline=None)
@given(
    events=st.lists(st.tuples(_expressions(), _STATEMENTS), min_size=1, max_size=3),
    settle=_STATEMENTS,
    tick=_STATEMENTS,
    bad=_expressions(),
)
def test_both_searches_agree_on_any_model(
    events: list[tuple[str, str]], settle: str, tick: str, bad: str
) -> None:
    """The kernel's table of instructions means what the same text means in Python."""
    names = (Variable("a", 3), Variable("b", 3), Variable("c", 3), Variable("s", 3, passing=True))
    model = StateModel(
        names,
        tuple(ModelEvent(f"e{i}", does, when) for i, (when, does) in enumerate(events)),
        (tick,),
        (settle,),
        bad={"bad": bad},
    )
    for slicing in (False, True):
        network = make_ready(model, slicing=slicing)

        plain, compiled = search_plainly(network, to_the_end=True), search_compiled(network, to_the_end=True)

        assert plain == compiled


def test_a_search_that_does_not_finish_says_how_far_it_got() -> None:
    """It never says that nothing is there."""
    model = StateModel(
        tuple(Variable(f"x{i}", 9) for i in range(6)),
        tuple(ModelEvent(f"e{i}", f"x{i} = x{i} + 1 if x{i} < 9 else 0") for i in range(6)),
        bad={"all": "x0 + x1 + x2 + x3 + x4 + x5 == 54"},
    )
    network = make_ready(model)

    small, large = search_all(network, budget=5_000), search_all(network, budget=100_000)

    assert not small.finished
    assert not large.finished
    assert 0 < small.depth < large.depth
    assert not small.stories


def test_a_million_states_are_searched_to_the_end() -> None:
    """All 10^6 states of six counters, none lost and none counted twice, arrays grown on the way."""
    model = StateModel(
        tuple(Variable(f"x{i}", 9) for i in range(6)),
        tuple(ModelEvent(f"e{i}", f"x{i} = x{i} + 1 if x{i} < 9 else 0") for i in range(6)),
        bad={"all": "x0 + x1 + x2 + x3 + x4 + x5 == 54"},
    )

    found = search_all(make_ready(model), to_the_end=True)

    assert (found.states, found.transitions, found.finished) == (1_000_000, 6_000_000, True)
    assert len(found.stories["all"]) == 54


def test_the_search_can_be_cancelled() -> None:
    """What the caller raises comes through."""
    model = StateModel(
        tuple(Variable(f"x{i}", 9) for i in range(6)),
        tuple(ModelEvent(f"e{i}", f"x{i} = x{i} + 1 if x{i} < 9 else 0") for i in range(6)),
        bad={"never": "x0 + x1 + x2 + x3 + x4 + x5 > 54"},
    )

    def stop(states: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        search_all(make_ready(model), progress=stop)


def test_the_briefest_story_has_fewest_events_then_shortest_time() -> None:
    """Waiting is cheaper than pressing: one press and four ticks beat three presses and none."""
    model = StateModel(
        (Variable("n", 9), Variable("on")),
        (ModelEvent("press", "n = min(n + 3, 9)\non = 1"),),
        ("if on:\n    n = min(n + 1, 9)",),
        bad={"full": "n >= 7"},
    )
    network = make_ready(model)

    assert len(search_all(network).stories["full"]) == 3
    assert briefest_story(network, "full") == ("press", "tick", "tick", "tick", "tick")


@pytest.mark.parametrize(
    "text",
    [
        "x = y[0]",
        "for i in x: pass",
        "x += 1",
        "x = 'a'",
        "x = f(1)",
        "x = 1.5",
        "x = a < b < c",
        "import os",
        "x = a / b",
        "x, y = 1, 2",
    ],
)
def test_what_the_language_has_not_is_refused(text: str) -> None:
    """Only assignments and conditions on whole numbers."""
    with pytest.raises(ModelError):
        parse_statements(text)


def test_a_variable_that_leaves_its_range_is_no_wrong_answer() -> None:
    """Both searches stop and name the variable's event."""
    network = make_ready(
        StateModel((Variable("x", 2),), (ModelEvent("up", "x = x + 1"),), bad={"far": "x > 5"})
    )

    with pytest.raises(ModelError, match="up"):
        search_plainly(network)
    with pytest.raises(ModelError, match="up"):
        search_compiled(network)


def test_faults_of_a_model_are_named() -> None:
    """Unknown names, doubled variables, a start above the largest value, negative times, too many bits."""
    with pytest.raises(ModelError, match="nobody"):
        make_ready(StateModel((Variable("x"),), bad={"b": "x and nobody"}))
    with pytest.raises(ModelError, match="twice"):
        join([StateModel((Variable("x"),)), StateModel((Variable("x", 5),))])
    with pytest.raises(ModelError, match="starts at 3"):
        make_ready(StateModel((Variable("x", 2, start=3),), bad={"b": "x > 1"}))
    with pytest.raises(ModelError, match="negative"):
        make_ready(StateModel((Variable("x", "T"),), times_ms={"T": -5}, bad={"b": "x > T"}))
    wide = StateModel(
        tuple(Variable(f"x{i}", 1000) for i in range(8)),
        bad={"b": " + ".join(f"x{i}" for i in range(8)) + " > 5"},
    )
    with pytest.raises(ModelError, match="bits"):
        search_compiled(make_ready(wide))


def test_the_tick_divides_every_time_that_matters_and_no_other() -> None:
    """A time nobody reads does not make the clock finer."""
    model = StateModel(
        (Variable("x", "LONG"), Variable("y", "FINE")),
        (),
        ("x = min(x + 1, LONG)\ny = min(y + 1, FINE)",),
        times_ms={"LONG": 20_000, "FINE": 300},
        bad={"b": "x == LONG"},
    )

    assert make_ready(model).tick_ms == 20_000
    assert make_ready(model, slicing=False).tick_ms == 100


def test_digital_time_is_exact_for_closed_guards() -> None:
    """Two clocks that both reach 2 time units meet, however fine the tick: Henzinger, Manna and Pnueli 1992,
    the closed case.

    Reached at time 2 with 1, 2, 3 and 4 ticks a unit; the steps are ticks x 2 + 2 events.
    """
    for fine in (1, 2, 3, 4):
        model = StateModel(
            (Variable("x", "T"), Variable("y", "T"), Variable("a"), Variable("b")),
            (
                ModelEvent("first", "a = 1\ny = 0", f"not a and x >= {fine}"),
                ModelEvent("second", "b = 1", f"a and not b and y >= {fine} and x <= {2 * fine}"),
            ),
            ("x = min(x + 1, T)\ny = min(y + 1, T)",),
            times_ms={"T": 3000},
            constants={},
            bad={"both": "b"},
        )
        network = make_ready(model, moments_ms=[3000 // (3 * fine)] if fine > 1 else [1000])

        assert len(search_all(network).stories["both"]) == 2 * fine + 2


def test_a_runner_tells_what_a_state_means() -> None:
    """Expressions and signals can be looked at in any state."""
    network = make_ready(
        StateModel(
            (Variable("x", 5), Variable("y", 10, passing=True), Variable("s", passing=True)),
            (ModelEvent("up", "x = x + 1\ns = 1", "x < 5"),),
            (),
            ("y = x * 2",),
            bad={"b": "x > 4 and s"},
        ),
        slicing=False,
    )
    runner = Runner(network)

    assert runner.step((5,), "up") is None
    assert runner.probe((2,), {"double": "y", "signal": "s"}, event="up") == {"double": 6, "signal": 1}


def test_expressions_are_checked_too() -> None:
    """A power operator is none of ours."""
    with pytest.raises(ModelError, match="Pow"):
        parse_expression("a ** 2")


def _wheels(bad: dict[str, str], *, leaves: bool = False) -> StateModel:
    """Five wheels of ten places that hold each other up; the last one may be lifted above, or out of its
    range.
    """
    events = tuple(
        ModelEvent(f"e{i}", f"x{i} = x{i} + 1 if x{i} < 9 else 0", f"x{(i + 1) % 5} != 3") for i in range(5)
    )
    return StateModel(
        tuple(Variable(f"x{i}", 12 if i == 4 else 9) for i in range(5)),
        (*events, ModelEvent("up", "x4 = x4 + 1", f"x3 == 9 and x4 >= 8{'' if leaves else ' and x4 < 12'}")),
        bad=bad,
    )


@pytest.mark.parametrize("threads", [2, 3])
@pytest.mark.parametrize("to_the_end", [False, True])
@pytest.mark.parametrize(
    "bad",
    [
        {"never": "x0 > 9"},
        {"far": "x0 + x1 + x2 == 24", "near": "x0 == 2 and x1 == 2 and x4 == 2"},
        {"far": "x0 + x1 + x2 + x3 == 33"},
    ],
)
def test_several_threads_find_what_one_finds(bad: dict[str, str], to_the_end: bool, threads: int) -> None:
    """Counts, depth and every event of the stories are equal, stopped at the last story or not."""
    network = make_ready(_wheels(bad), slicing=False)

    alone, shared = (search_compiled(network, to_the_end=to_the_end, threads=count) for count in (1, threads))

    assert shared == alone
    assert alone.states > 20_000 or alone.stories


def test_a_variable_that_leaves_its_range_is_named_by_every_number_of_threads() -> None:
    """The same event after the same story."""
    network = make_ready(_wheels({"never": "x0 > 9"}, leaves=True), slicing=False)
    said = []
    for threads in (1, 2):
        with pytest.raises(ModelError, match="left its range at up") as caught:
            search_compiled(network, threads=threads)
        said.append(str(caught.value))

    assert said[0] == said[1]


def test_loading_the_kernel_is_told_first() -> None:
    """Progress is told 0 before anything is compiled, then the states."""
    told: list[int] = []

    search_compiled(make_ready(_wheels({"never": "x0 > 9"})), progress=told.append)

    assert told[0] == 0
    assert told[-1] > 0
