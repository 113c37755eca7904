"""Rules about people in the way, and about the way out.

Each function takes the case, the rule and the outputs it names, and yields rulings; `built` makes findings
of them.
"""

from __future__ import annotations

from collections.abc import Iterator

from farpress.case.behaviour import PRESENCE
from farpress.case.case import Case, OutputAt
from farpress.case.citations import EN_13637
from farpress.case.driven import Driven, closes, driven_of, goes_back, moves, subjects_of
from farpress.case.found_on_site import working_safeguards
from farpress.domain.cautions import DUTIES, caution
from farpress.domain.finding import Remedy
from farpress.domain.job import Rule
from farpress.judging.check import Answer
from farpress.judging.hurting import FREE_EXIT, TRAPPED, ask_safeguards, ask_tested, ask_who_leaves
from farpress.judging.rules.ruling import Ruling

__all__ = ["closes_while_occupied", "needed_to_leave"]


def closes_while_occupied(case: Case, rule: Rule, outputs: tuple[OutputAt, ...]) -> Iterator[Ruling]:
    """Never closes while occupied: something must notice who is there."""
    seen: dict[str, list[tuple[OutputAt, Driven]]] = {}
    for output in outputs:
        for driven in driven_of(case, output):
            if moves(driven):
                seen.setdefault(driven.path, []).append((output, driven))
    if not seen:
        yield Ruling(Answer.UNKNOWN, "nothing of it closes.", never_matters=True)
    for path, uses in seen.items():
        driven = uses[0][1]
        subjects = tuple(dict.fromkeys(ref for output, use in uses for ref in subjects_of(output, use)))
        has = set(working_safeguards(driven.sheet) or ()) & PRESENCE
        text = f"{DUTIES['machine']} {caution('automatic closing')}"
        let_go = next((output.path for output, use in uses if goes_back(use)), None)
        if let_go is not None and not (has and driven.sheet.safeguards_tested):
            yield Ruling(
                Answer.NO,
                f"{path} goes back as soon as the contact of {let_go} opens, whoever is there, and nothing"
                " that notices somebody is recorded as tested.",
                text,
                path,
                remedies=(Remedy("A loop for vehicles, beams or presence detection for people, tested"),),
                sources=driven.cite("inputs", "safeguards", "safeguards_tested"),
                subjects=subjects,
                is_said=True,
            )
        elif driven.sheet.safeguards is None:
            yield Ruling(
                Answer.UNKNOWN,
                f"Whether anything notices somebody under {path} is not recorded.",
                text,
                path,
                asks=(ask_safeguards(path.split("/")[1]),),
                subjects=subjects,
            )
        elif has and driven.sheet.safeguards_tested:
            yield Ruling(
                Answer.YES,
                f"{path} notices who is there by {', '.join(sorted(has))}, recorded as tested.",
                f"The drive, not the radio, keeps this rule. {text}",
                path,
                sources=driven.cite("safeguards", "safeguards_tested"),
                subjects=subjects,
            )
        elif has and driven.sheet.safeguards_tested is None:
            yield Ruling(
                Answer.UNKNOWN,
                f"{path} has {', '.join(sorted(has))}; their test is not recorded.",
                text,
                path,
                asks=(ask_tested(path.split("/")[1]),),
                sources=driven.cite("safeguards"),
                subjects=subjects,
            )
        elif not has and not any(closes(use) for _, use in uses):
            yield Ruling(
                Answer.YES,
                f"No press of these closes {path}, and it does not close by itself.",
                "",
                path,
                subjects=subjects,
            )
        else:
            what = (
                "recorded as not working, or not tested" if has else "nothing that notices somebody is fitted"
            )
            yield Ruling(
                Answer.NO,
                f"{path}: {', '.join(sorted(has)) + ': ' if has else ''}{what}.",
                text,
                path,
                remedies=(Remedy("A loop for vehicles, beams or presence detection for people, tested"),),
                sources=driven.cite("safeguards", "safeguards_tested"),
                subjects=subjects,
            )


def needed_to_leave(case: Case, rule: Rule, outputs: tuple[OutputAt, ...]) -> Iterator[Ruling]:
    """Never a fob needed to leave: it must open by hand from inside."""
    for output in outputs:
        for driven in driven_of(case, output):
            about, subjects = f"{output.path}: {driven.works}", subjects_of(output, driven)
            sources = (*driven.cite("opens_by_hand", "fails", "escape_route"), EN_13637)
            text = f"{caution('escape')} {DUTIES['escape']}"
            if not driven.traits.is_way:
                yield Ruling(
                    Answer.UNKNOWN,
                    f"nobody leaves through {driven.works}.",
                    about=about,
                    never_matters=True,
                    subjects=subjects,
                )
            elif driven.sheet.opens_by_hand:
                yield Ruling(
                    Answer.YES,
                    f"{driven.works} opens by hand from inside, without fob, key or power.",
                    text,
                    about,
                    sources=sources,
                    subjects=subjects,
                )
            elif driven.sheet.opens_by_hand is False:
                yield Ruling(
                    Answer.NO,
                    f"{driven.works} does not open by hand from inside.",
                    text,
                    about,
                    remedies=(FREE_EXIT, TRAPPED),
                    sources=sources,
                    subjects=subjects,
                )
            elif driven.sheet.escape_route and driven.traits.is_lock and driven.sheet.fails == "locked":
                yield Ruling(
                    Answer.NO,
                    f"{driven.works} is on an escape route and stays locked without power; a lever inside is"
                    " not recorded.",
                    text,
                    about,
                    remedies=(FREE_EXIT, TRAPPED),
                    sources=sources,
                    subjects=subjects,
                )
            else:
                yield Ruling(
                    Answer.UNKNOWN,
                    f"Whether {driven.works} opens by hand from inside is not recorded.",
                    text,
                    about,
                    asks=(ask_who_leaves(driven.path.split("/")[1]),),
                    sources=sources,
                    subjects=subjects,
                )
