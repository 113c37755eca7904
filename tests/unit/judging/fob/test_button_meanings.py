"""One button that lets in at one place and bars the way at another."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Verdict
from farpress.judging.fob import button_meanings
from helpers.logic_case import a_case

IN: dict[str, Any] = {"device": "barrier", "inputs": {"in": {"logic": "open only", "wants": "pulse"}}}


def _post(logic: str) -> dict[str, Any]:
    return {
        "device": "bollard",
        "inputs": {"in": {"logic": logic, "wants": "maintained", "opened": "goes back"}},
    }


def _found(logic: str, *, button: Any = ("f1", "f2"), apart: bool = True, **post: Any) -> list[Verdict]:
    """The barrier on one output and the post on another, at one receiver or at two."""
    premises = ("house", "yard") if apart else ("house",)
    other = f"{premises[-1]}/R1/2"
    case = a_case(
        {"1": {"kind": "pulse", "works": "lane.in"}, "2": {"kind": "pulse", "works": "post.in", **post}},
        devices={"lane": IN, "post": _post(logic)},
        functions={"f1": {"output": "house/R1/1"}, "f2": {"output": other}},
        groups={"drivers": {"count": 9, "buttons": {"1": button, "2": "f1"}}},
        premises=premises,
    )
    return [finding.verdict for finding in button_meanings.judge(case)]


@pytest.mark.parametrize(("apart", "verdict"), [(True, Verdict.FAILS), (False, Verdict.THIN)])
def test_fob_20_a_post_that_rises_where_a_barrier_opens(apart: bool, verdict: Verdict) -> None:
    """At two places nobody sees the other; at one it may be meant so."""
    assert _found("up", apart=apart) == [verdict]


def test_fob_20_a_break_contact_that_lets_a_post_go_bars_the_way() -> None:
    """It opens what keeps it down."""
    assert _found("open only", contact="normally closed") == [Verdict.FAILS]


@pytest.mark.parametrize("button", ["f1", {"short": "f1", "long": "f2"}])
def test_fob_20_two_presses_are_two_meanings(button: Any) -> None:
    """A short and a long press are told apart."""
    assert not _found("up", button=button)


def test_fob_20_both_let_in() -> None:
    """Lowering a post lets in, as the barrier does."""
    assert not _found("down")


def test_fob_20_a_press_that_feeds_a_magnet_lets_nobody_in() -> None:
    """It locks."""
    case = a_case(
        {"1": {"kind": "toggle", "works": "lock.in"}, "2": {"kind": "pulse", "works": "post.in"}},
        devices={"lock": {"device": "magnetic lock", "inputs": {"in": {"logic": "on"}}}, "post": _post("up")},
        groups={"drivers": {"count": 9, "buttons": {"1": ("f1", "f2")}}},
    )

    assert not list(button_meanings.judge(case))
