"""Button layouts: two public instances with their optimum, brute force, contradictions."""

from __future__ import annotations

from itertools import combinations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from farpress.core.keys.conflicts import Demand, conflicts
from farpress.core.keys.layout import best_layout, cost_of
from farpress.core.keys.layout_problem import Costs, Holders, Layout, PlacedFunction, Rules, Wanted
from farpress.core.keys.memory import overfull, records_needed
from farpress.errors import InputError


def _wanted(text: str) -> tuple[Wanted, ...]:
    """'O: G4 D3; S: G2' → wishes with their use."""
    return tuple(
        Wanted(site.strip(), one[0], float(one[1:]))
        for part in text.split(";")
        for site, _, rest in [part.partition(":")]
        for one in rest.split()
    )


FOUR = (
    [Holders("staff", 1, _wanted("O: G4 D3 L2 A2; V: D3 L1 A2; Lo: G4 D3 L1 A2 H2; S: G2 L1"))],
    Rules({"four": 4}, never_long=frozenset("G"), only_long=frozenset("A"), apart=(("A", "G"),)),
    Costs(5, 1, 2, 3, 0, 0),
)
TWO = (
    [Holders("family", 1, _wanted("house: G6 D2 L3; garage: G4 L1"))],
    Rules({"two": 2}, never_long=frozenset("G"), apart=(("D", "G"),)),
    Costs(4, 1, 1, 1, 0, 0),
)


def _every_plan(group: Holders, rules: Rules) -> list[tuple[PlacedFunction, ...]]:
    """All ways to place one group's functions, by trying all; the rules written anew."""
    buttons = rules.types[next(iter(rules.types))]
    spots = [
        [
            (b, long)
            for b in range(1, buttons + 1)
            for long in (False, True)
            if not (long and want.kind in rules.never_long)
            and not (not long and want.kind in rules.only_long)
            and want.kind not in group.barred
        ]
        for want in group.wanted
    ]
    plans = []
    by_site = {
        site: [at for at, want in enumerate(group.wanted) if want.site == site]
        for site in {want.site for want in group.wanted}
    }
    per_site = {}
    for site, ats in by_site.items():
        good = []
        for choice in product(*(spots[at] for at in ats)):
            if len(set(choice)) < len(choice):
                continue
            at_kind = {group.wanted[at].kind: spot for at, spot in zip(ats, choice)}
            if any(a in at_kind and c in at_kind and at_kind[a][0] == at_kind[c][0] for a, c in rules.apart):
                continue
            good.append(dict(zip(ats, choice)))
        per_site[site] = good
    for parts in product(*per_site.values()):
        spot = {at: one for part in parts for at, one in part.items()}
        if any(
            group.wanted[i].kind in rules.alone
            and group.wanted[j].kind != group.wanted[i].kind
            and spot[i][0] == spot[j][0]
            for i in spot
            for j in spot
        ):
            continue
        plans.append(
            tuple(
                PlacedFunction(group.name, want.site, want.kind, *spot[at])
                for at, want in enumerate(group.wanted)
            )
        )
    return plans


def _least(groups: list[Holders], rules: Rules, costs: Costs) -> float | None:
    """Least cost over all plans of all groups and all homes of the kinds."""
    kinds = sorted({want.kind for group in groups for want in group.wanted})
    buttons = max(rules.types.values())
    types = {group.name: next(iter(rules.types)) for group in groups}
    plans = [_every_plan(group, rules) for group in groups]
    if not all(plans):
        return None
    best = float("inf")
    for homes in product(range(1, buttons + 1), repeat=len(kinds)):
        home = dict(zip(kinds, homes))
        total = costs.type
        for group, mine in zip(groups, plans):
            total += min(
                sum(cost_of(Layout(plan, home, types, 0, 0), [group], rules, costs._replace(type=0)).values())
                for plan in mine
            )
        best = min(best, total)
    return best


@pytest.mark.parametrize(("instance", "optimum"), [(FOUR, 3), (TWO, 4)])
def test_the_public_instances_have_their_optimum(
    instance: tuple[list[Holders], Rules, Costs], optimum: float
) -> None:
    """Four sites with four buttons: 3; two sites with two buttons: 4. Both proven."""
    groups, rules, costs = instance
    plan = best_layout(groups=groups, rules=rules, costs=costs)

    assert plan is not None
    assert plan.cost == optimum
    assert plan.is_proven
    assert sum(plan.parts.values()) == pytest.approx(plan.cost)


def test_the_small_instance_by_trying_all_plans() -> None:
    """And the larger one, where each site is tried apart from the others for each home of the kinds."""
    assert _least(*TWO) == 4


small = st.lists(
    st.builds(
        lambda name, count, pairs: (name, count, pairs),
        st.sampled_from("pqr"),
        st.integers(1, 3),
        st.lists(
            st.tuples(st.sampled_from("xy"), st.sampled_from("GDA"), st.integers(1, 4)),
            min_size=1,
            max_size=4,
            unique_by=lambda one: one[:2],
        ),
    ),
    min_size=1,
    max_size=2,
    unique_by=lambda one: one[0],
)


@settings(max_examples=25, deadline=None)
@given(
    groups=small,
    only_long=st.sets(st.sampled_from("A")),
    never_long=st.sets(st.sampled_from("GD")),
    alone=st.sets(st.sampled_from("D")),
)
def test_small_layouts_equal_brute_force(
    groups: list[tuple[str, int, list[tuple[str, str, int]]]],
    only_long: set[str],
    never_long: set[str],
    alone: set[str],
) -> None:
    """Cost equal to the least of all plans; none where no plan keeps the rules, and then there is a
    reason.
    """
    people = [
        Holders(name, count, tuple(Wanted(site, kind, use, (1, False)) for site, kind, use in pairs))
        for name, count, pairs in groups
    ]
    rules = Rules({"two": 2}, frozenset(never_long), frozenset(only_long), (("A", "G"),), frozenset(alone))
    costs = Costs(5, 1, 2, 3, 1, 7)
    plan = best_layout(groups=people, rules=rules, costs=costs)
    least = _least(people, rules, costs)

    assert (plan is None) == (least is None)
    assert bool(conflicts(groups=people, rules=rules)) == (least is None)
    if plan is not None and least is not None:
        assert plan.cost == pytest.approx(least)
        assert sum(cost_of(plan, people, rules, costs).values()) == pytest.approx(plan.cost)


def test_the_exact_tables_and_the_search_agree(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two ways that share no line: the tables over all homes, and the solver without them."""
    import random

    from farpress.core.keys import homes, layout

    rng = random.Random(4)
    for _ in range(6):
        groups = [
            Holders(
                f"g{at}",
                rng.randint(1, 9),
                tuple(
                    Wanted(site, kind, rng.choice((0.5, 1, 3)), (rng.randint(1, 3), False))
                    for site in ("x", "y")
                    for kind in rng.sample(("open", "light", "unset", "call"), rng.randint(1, 3))
                ),
                rng.choice(((), ("two",), ("three",))),
                frozenset(),
                rng.choice(("", "two", "three")),
            )
            for at in range(5)
        ]
        rules = Rules(
            {"two": 2, "three": 3},
            frozenset(("open",)),
            frozenset(("unset",)),
            (("unset", "open"),),
            frozenset(("call",)),
        )
        known = homes.best_homes(groups=groups, rules=rules, costs=Costs(), scale=100)
        with monkeypatch.context() as patch:
            patch.setattr(homes, "MOST_CHOICES", 0)
            searched = layout.best_layout(groups=groups, rules=rules)
        assert known is not None
        assert (known.cost is None) == (searched is None)
        if searched is not None and known.cost is not None:
            assert searched.is_proven
            assert searched.cost == pytest.approx(known.cost / 100)


@pytest.mark.long
@settings(max_examples=40)
@given(
    data=st.data(),
    types=st.lists(st.sampled_from(["one", "two", "gone", ""]), min_size=2, max_size=2),
    price=st.integers(0, 30),
)
def test_another_fob_is_learned_anew(data: st.DataObject, types: list[str], price: int) -> None:
    """Two groups, two types of fob, any of them today's: by trying every type for each; with the tables and
    without.
    """
    from farpress.core.keys import homes

    rules, costs = Rules({"one": 1, "two": 2}), Costs(5, 1, 2, 3, 1, price)
    groups = []
    for at, today in enumerate(types):
        kinds = data.draw(st.lists(st.sampled_from("GD"), min_size=1, max_size=2, unique=True))
        groups.append(
            Holders(
                f"g{at}",
                data.draw(st.integers(1, 4)),
                tuple(Wanted("x", kind, 1, (at % 2 + 1, False)) for at, kind in enumerate(kinds)),
                type_today=today,
            )
        )
    least = float("inf")
    for chosen in product(rules.types, repeat=2):
        plans = [_every_plan(group, Rules({name: rules.types[name]})) for group, name in zip(groups, chosen)]
        for both, homes_of in product(product(*plans), product((1, 2), repeat=2)):
            trial = Layout(
                tuple(one for plan in both for one in plan),
                dict(zip("GD", homes_of)),
                {group.name: name for group, name in zip(groups, chosen)},
                0,
                0,
            )
            least = min(least, sum(cost_of(trial, groups, rules, costs).values()))
    for most in (homes.MOST_CHOICES, 0):
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(homes, "MOST_CHOICES", most)
            plan = best_layout(groups=groups, rules=rules, costs=costs)
        assert plan is not None
        assert plan.is_proven
        assert plan.cost == pytest.approx(least) == pytest.approx(sum(plan.parts.values()))


def test_a_fob_that_stays_is_worth_a_second_type() -> None:
    """Thirty-one small fobs are not thrown away to save one type."""
    crew = Holders(
        "crew",
        31,
        (Wanted("a", "gate", 1, (1, False)), Wanted("a", "light", 1, (2, False))),
        type_today="two",
    )
    staff = Holders(
        "staff", 3, tuple(Wanted("a", kind) for kind in ("gate", "light", "call")), type_today="four"
    )
    plan = best_layout(
        groups=[crew, staff],
        rules=Rules({"two": 2, "four": 4}, frozenset(("gate", "light")), alone=frozenset(("call",))),
    )

    assert plan is not None
    assert plan.types == {"crew": "two", "staff": "four"}
    assert plan.parts["relearn"] == 0


def test_an_empty_button_is_used_before_two_functions_share_one() -> None:
    """Light and bell have one home, by what most people press; who has a button left takes that one."""
    many = Holders("many", 40, (Wanted("a", "light", 1, (2, False)), Wanted("b", "bell", 1, (2, False))))
    few = Holders("few", 2, (Wanted("a", "light"), Wanted("a", "bell")))
    plan = best_layout(groups=[many, few], rules=Rules({"four": 4}), costs=Costs(type=0))

    assert plan is not None
    assert plan.home == {"light": 2, "bell": 2}
    assert plan.parts["share"] == plan.parts["spare"] == 0
    assert plan.parts["elsewhere"] == 5.0 * 2


def test_what_is_learned_at_more_receivers_moves_last() -> None:
    """One of two has to leave the button they share; it is the one that is learned at one receiver."""
    crew = Holders(
        "crew",
        3,
        (Wanted("a", "light", 1, (1, False), receivers=4), Wanted("a", "bell", 1, (1, False), receivers=2)),
    )
    plan = best_layout(groups=[crew], rules=Rules({"two": 2}, frozenset(("light", "bell"))))

    assert plan is not None
    assert plan.home == {"light": 1, "bell": 2}
    assert plan.parts["relearn"] == Costs().relearn * 3 * 2


def test_the_same_problem_gives_the_same_plan() -> None:
    """The lowest buttons for what is used most, run after run."""
    groups, rules, costs = FOUR
    first, second = (best_layout(groups=groups, rules=rules, costs=costs) for _ in range(2))

    assert first == second


def test_fewest_fob_types_and_least_relearning() -> None:
    """Two types cost more than one that fits all; without need nothing is moved from where it lies."""
    groups = [
        Holders("crew", 5, (Wanted("a", "gate", 1, (2, False)), Wanted("a", "light", 1, (1, False)))),
        Holders("child", 1, (Wanted("a", "light", 1, (1, False)),)),
    ]
    plan = best_layout(groups=groups, rules=Rules({"one": 1, "two": 2}))

    assert plan is not None
    assert set(plan.types.values()) == {"two"}
    assert plan.parts["relearn"] == 0
    assert plan.home == {"gate": 2, "light": 1}


def test_a_call_for_help_has_its_own_button() -> None:
    """Also over sites: nothing else lies on it anywhere."""
    groups = [Holders("o", 1, (Wanted("a", "call"), Wanted("b", "gate"), Wanted("b", "light")))]
    plan = best_layout(groups=groups, rules=Rules({"four": 4}, alone=frozenset(("call",))))

    assert plan is not None
    (call,) = [one.button for one in plan.placed if one.kind == "call"]
    assert call not in [one.button for one in plan.placed if one.kind != "call"]


def _contradicts(demands: tuple[Demand, ...], group: Holders, rules: Rules) -> bool:
    """By trying all plans under just these demands."""
    has = [demand.about for demand in demands if demand.what == "has"]
    about = {
        what: {demand.about[0] for demand in demands if demand.what == what}
        for what in ("short", "long", "alone", "barred")
    }
    buttons = min([int(demand.about[0]) for demand in demands if demand.what == "buttons"], default=4)
    part = Holders(
        group.name,
        1,
        tuple(want for want in group.wanted if (want.site, want.kind) in has),
        (),
        frozenset(about["barred"]),
    )
    some = Rules(
        {"x": buttons},
        frozenset(about["short"]),
        frozenset(about["long"]),
        tuple(demand.about for demand in demands if demand.what == "apart"),
        frozenset(about["alone"]),
    )  # type: ignore[misc]
    return not _every_plan(part, some)


def test_the_smallest_contradiction_is_the_smallest() -> None:
    """Five demands on two buttons, each smaller set tried: none contradicts; each way out works."""
    group = Holders("crew", 1, (Wanted("a", "G"), Wanted("a", "D"), Wanted("a", "A")))
    rules = Rules(
        {"two": 2}, never_long=frozenset("GD"), only_long=frozenset("A"), apart=(("A", "G"), ("A", "D"))
    )
    (conflict,) = conflicts(groups=[group], rules=rules)
    every = (
        *(Demand("has", (want.site, want.kind)) for want in group.wanted),
        Demand("short", ("D",)),
        Demand("short", ("G",)),
        Demand("long", ("A",)),
        Demand("apart", ("A", "G")),
        Demand("apart", ("A", "D")),
        Demand("buttons", ("2",)),
    )

    assert _contradicts(conflict.demands, group, rules)
    assert not any(
        _contradicts(subset, group, rules)
        for size in range(len(conflict.demands))
        for subset in combinations(every, size)
    )
    for way in conflict.ways:
        assert not _contradicts(tuple(demand for demand in every if demand not in way), group, rules)


def test_a_barred_function_that_is_wanted_is_the_contradiction() -> None:
    """A child is to have the gate and may not have it."""
    (conflict,) = conflicts(
        groups=[Holders("child", 1, (Wanted("a", "gate"), Wanted("a", "light")), (), frozenset(("gate",)))],
        rules=Rules({"two": 2}),
    )

    assert set(conflict.demands) == {Demand("has", ("a", "gate")), Demand("barred", ("gate",))}
    assert set(conflict.ways) == {(Demand("has", ("a", "gate")),), (Demand("barred", ("gate",)),)}


def test_problems_that_make_no_sense_are_refused() -> None:
    """Unknown type, no type, one kind twice at a site."""
    with pytest.raises(InputError, match="no fob type six"):
        best_layout(groups=[Holders("a", 1, (), ("six",))], rules=Rules({"two": 2}))
    with pytest.raises(InputError, match="at least one fob type"):
        best_layout(groups=[], rules=Rules({}))
    with pytest.raises(InputError, match="different names"):
        best_layout(groups=[Holders("a", 1, (Wanted("s", "up"), Wanted("s", "up")))], rules=Rules({"two": 2}))


@settings(max_examples=40, deadline=None)
@given(
    group=small.map(lambda groups: groups[0]),
    at=st.lists(st.sampled_from(["R1", "R2"]), min_size=4, max_size=4),
    only_long=st.sets(st.sampled_from("A")),
)
def test_every_plan_needs_the_same_memory(
    group: tuple[str, int, list[tuple[str, str, int]]], at: list[str], only_long: set[str]
) -> None:
    """Why memory is no part of the programme: all plans, by trying all, take as many records at each
    receiver.
    """
    name, count, pairs = group
    people = Holders(name, count, tuple(Wanted(site, kind, use) for site, kind, use in pairs))
    reaches = {(name, site, kind): [f"{site}/{where}"] for (site, kind, _), where in zip(pairs, at)}
    by_fob, by_button = (
        records_needed(groups=[people], reaches=reaches, counts_buttons=each) for each in (False, True)
    )

    for plan in _every_plan(people, Rules({"two": 2}, only_long=frozenset(only_long), apart=(("A", "G"),))):
        presses: dict[str, set[tuple[int, bool]]] = {}
        for one in plan:
            for receiver in reaches[name, one.site, one.kind]:
                presses.setdefault(receiver, set()).add((one.button, one.long))
        assert {receiver: {name: count * len(found)} for receiver, found in presses.items()} == by_button
        assert {receiver: {name: count} for receiver in presses} == by_fob


@settings(max_examples=60, deadline=None)
@given(
    needs=st.dictionaries(st.sampled_from("abcdef"), st.integers(1, 9), min_size=1), room=st.integers(0, 40)
)
def test_what_is_too_much_for_a_memory_by_trying_all(needs: dict[str, int], room: int) -> None:
    """The contradiction is a smallest one, and so is what to give up; none where all fits."""
    found = overfull(needs=needs, room=room)
    choices = [choice for size in range(len(needs) + 1) for choice in combinations(sorted(needs), size)]
    too_many = [choice for choice in choices if sum(needs[one] for one in choice) > room]
    assert (found is None) == (not too_many)
    if found is not None:
        assert len(found.smallest) == len(too_many[0])
        assert sum(needs[one] for one in found.smallest) > room
        enough = [
            choice for choice in choices if sum(needs.values()) - sum(needs[one] for one in choice) <= room
        ]
        assert {frozenset(way) for way in found.ways} <= {
            frozenset(choice) for choice in enough if len(choice) == len(enough[0])
        }
        assert found.ways
