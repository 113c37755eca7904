"""The customer's cover: one page that says what works, what not yet, what never, and whom to ring.

Plain words in the language of the cards: no levels, no coordinates, no codes. Whatever it says of a function
is how the output stands and how the promises are judged; nothing is chosen here.
"""

from __future__ import annotations

from collections.abc import Iterator

from farpress.domain.finding import Chain, Link, Verdict
from farpress.domain.job import Rule
from farpress.papers.builders.basis import Basis
from farpress.papers.builders.card_words import FunctionWords
from farpress.papers.builders.own_words import untranslated
from farpress.papers.typesetting.paper import (
    Block,
    Cautions,
    Column,
    Fields,
    Paper,
    PaperField,
    PaperTable,
    Section,
    Text,
)

__all__ = ["paper"]

_AIR = (Link.FOB, Link.AIR, Link.RECEIVER)


def paper(basis: Basis) -> Paper:
    """The cover, on one page."""
    say, words = basis.texts.say, FunctionWords(basis)
    works, later, out = _sorted(basis)
    return Paper(
        "cover",
        say("Your remote control"),
        say("What works, what does not work yet, what you must never do, and whom you ring."),
        (
            Section(say("This works"), tuple(_works(basis, works))),
            Section(say("This does not work yet"), tuple(_later(basis, later, works, out))),
            Section(say("Do not use this: somebody could be hurt"), tuple(_out(basis, out))),
            Section(say("Never"), (Cautions(tuple(_nevers(basis))),)),
            Section(say("After a power cut"), (Text(words.after_power(tuple(works | later))),)),
            Section(say("Whom to ring"), (_whom(basis),)),
        ),
        missing=untranslated(basis),
        is_close=True,
        is_for_customer=True,
        language=basis.texts.language,
    )


def _sorted(
    basis: Basis,
) -> tuple[dict[str, tuple[Chain, ...]], dict[str, tuple[Chain, ...]], dict[str, bool]]:
    """Functions that may be used, with promises that hold and with those that do not yet; and functions
    that must not be used, with whether they are barred.
    """
    works: dict[str, tuple[Chain, ...]] = {}
    later: dict[str, tuple[Chain, ...]] = {}
    out: dict[str, bool] = {}
    for name in basis.case.job.functions:
        paths = [output.path for output in basis.case.outputs_of(name)]
        if any(not basis.standings[path].may_be_used for path in paths):
            out[name] = any(path in basis.barred for path in paths)
            continue
        chains = [chain for chain in basis.assessment.promises if chain.function == name]
        good = tuple(chain for chain in chains if chain.verdict in (Verdict.HOLDS, Verdict.THIN))
        bad = tuple(chain for chain in chains if chain not in good)
        if good:
            works[name] = good
        if bad:
            later[name] = bad
    return works, later, out


def _places(basis: Basis, chains: tuple[Chain, ...]) -> str:
    return basis.texts.listed(map(basis.texts.own, dict.fromkeys(chain.place for chain in chains)))


def _names(basis: Basis, functions: list[str]) -> str:
    return ", ".join(map(basis.texts.own, functions))


def _works(basis: Basis, works: dict[str, tuple[Chain, ...]]) -> Iterator[Block]:
    say, words = basis.texts.say, FunctionWords(basis)
    rows = tuple(
        (basis.texts.own(name), words.what(name), _places(basis, chains)) for name, chains in works.items()
    )
    yield PaperTable(
        "works",
        (Column(say("function"), 0.8), Column(say("what a press does"), 2), Column(say("from where"), 1.2)),
        rows,
        empty=say("Nothing yet: what is named below has to be done first."),
    )


def _later(
    basis: Basis,
    later: dict[str, tuple[Chain, ...]],
    works: dict[str, tuple[Chain, ...]],
    out: dict[str, bool],
) -> Iterator[Block]:
    say = basis.texts.say
    alike: dict[tuple[str, str], list[str]] = {}
    for name, chains in later.items():
        alike.setdefault((_places(basis, chains), _why(basis, chains)), []).append(name)
    rows = tuple((_names(basis, names), places, why) for (places, why), names in alike.items())
    yield PaperTable(
        "not-yet",
        (Column(say("function"), 0.8), Column(say("from where"), 1.2), Column(say("why not yet"), 2)),
        rows,
        empty=_none_later(basis, works, out),
    )


def _none_later(basis: Basis, works: dict[str, tuple[Chain, ...]], out: dict[str, bool]) -> str:
    """What no row means: that everything works is said only where it does."""
    say = basis.texts.say
    if out:
        return say("Nothing else: what must not be used yet is named below.")
    return say("Everything that was promised works.") if works else say("Nothing is promised yet.")


def _why(basis: Basis, chains: tuple[Chain, ...]) -> str:
    """In a sentence: not heard surely, something has to change, or something has to be found out."""
    say = basis.texts.say
    bad = [link for chain in chains for link in chain.links if link.verdict is Verdict.FAILS]
    sentences = []
    if any(link.link in _AIR for link in bad):
        sentences.append(say("A press is not heard surely enough from there."))
    if any(link.link not in _AIR for link in bad):
        sentences.append(say("The installer has to change something first."))
    if not bad:
        sentences.append(say("The installer has to find something out first."))
    return " ".join(sentences)


def _out(basis: Basis, out: dict[str, bool]) -> Iterator[Block]:
    say = basis.texts.say
    barred = [name for name, is_barred in out.items() if is_barred]
    waiting = [name for name, is_barred in out.items() if not is_barred]
    if barred:
        yield Text(
            say("Barred until it is changed: {functions}.", functions=_names(basis, barred)), is_strong=True
        )
    if waiting:
        yield Text(
            say(
                "Not before the installer tells you, something is not settled yet: {functions}.",
                functions=_names(basis, waiting),
            ),
            is_strong=True,
        )
    if not out:
        yield Text(say("Nothing of the kind is known."))


def _nevers(basis: Basis) -> Iterator[str]:
    """What must never be done with a fob, then what the customer said must never happen."""
    say = basis.texts.say
    yield say("Never press where you do not see what moves.")
    yield say("Never use the fob as the way out or as an emergency stop.")
    if any(function.kind == "call" for function in basis.case.job.functions.values()):
        yield say("Never rely on the fob where a life hangs on it: it calls the household, not an ambulance.")
    yield say("Never leave a fob with somebody who is not in the register.")
    yield from dict.fromkeys(filter(None, (_rule(basis, rule) for rule in basis.case.job.rules)))


def _rule(basis: Basis, rule: Rule) -> str:
    return (
        basis.texts.say("Your rule: {rule}.", rule=basis.texts.own(rule.says).rstrip("."))
        if rule.says
        else ""
    )


def _whom(basis: Basis) -> Fields:
    say, job = basis.texts.say, basis.case.job
    phone = job.details.telephone
    answers = basis.texts.listed(
        dict.fromkeys(
            basis.texts.own(function.answered_by or "") or say("nobody is named yet")
            for function in job.functions.values()
            if function.kind == "call"
        )
    )
    fields = [
        PaperField(say("Anything that is odd, a lost fob the same day"), phone, say("telephone of the firm")),
        PaperField(say("Firm"), job.details.installer, say("which firm")),
        PaperField(
            say("A cell was swallowed, somebody is hurt"), say("hospital or emergency service, at once")
        ),
    ]
    if answers:
        fields.append(PaperField(say("Who answers a call for help"), answers))
    return Fields(tuple(fields), columns=2)
