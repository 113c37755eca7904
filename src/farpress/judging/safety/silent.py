"""A call that nobody near may notice: what it sounds, and who gets it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import driven_of, subjects_of
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import FunctionRef, Ref
from farpress.domain.told_words import HOLD_UP, told
from farpress.judging.check import Answer, Check
from farpress.phrases import listed

__all__ = ["SILENT", "judge"]

SILENT: Final = Check(
    "SAFE-47",
    Link.SAFETY,
    "A call that nobody near may notice: nothing that it works may sound or light up there.",
    stake=Stake.HARM,
    bars=True,
    ask="Ask whether whoever stands beside the one who presses may notice it.",
    who=Who.CUSTOMER,
    minutes=5.0,
    mends="A path of its own to those who answer, made for a hold-up call; never the siren.",
)


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-47 of each call that is to be silent, or is called as one that has to be."""
    for name, function in case.job.functions.items():
        called = told(HOLD_UP, name, function.says)
        if function.silent is False or (function.silent is None and not called):
            continue
        loud: dict[str, None] = {}
        refs: list[Ref] = [FunctionRef(name)]
        for output in case.outputs_of(name):
            for driven in driven_of(case, output):
                refs += subjects_of(output, driven)
                if driven.traits.makes_sound or driven.traits.gives_light:
                    loud[driven.works] = None
        asks: tuple[Ask, ...] = ()
        if function.silent is None:
            answer = Answer.UNKNOWN
            says = f"'{name}' is called '{called}': may whoever stands there notice the press?"
            asks = (Ask(f"Ask whether '{name}' has to be silent, and write 'silent'.", Who.CUSTOMER, 5.0),)
        elif loud:
            answer = Answer.NO
            says = (
                f"'{name}' is to be silent and works {listed(loud)}: whoever threatens hears of it. Refused."
            )
        else:
            answer, says = Answer.YES, f"'{name}' works nothing that sounds or lights up."
        yield SILENT.decide(
            about=name,
            subjects=tuple(dict.fromkeys(refs)),
            answer=answer,
            says=says,
            because="Whoever threatens must not learn that help was called.",
            asks=asks,
            remedies=(
                Remedy("A hold-up call made for it, with a silent path to those who answer; not this fob"),
            ),
            sources=(PRACTICE, GIVEN),
        )
