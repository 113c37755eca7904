"""A fault hunt as text for a terminal and as JSON: causes by their chances, the next best test. Pure."""

from __future__ import annotations

from typing import TYPE_CHECKING

from farpress.cli.text import bar, wrapped

if TYPE_CHECKING:
    from farpress.faults.ask import FaultHunt, Match

__all__ = ["hunt_json", "ranking", "step_lines"]


def ranking(hunt: FaultHunt, width: int) -> list[str]:
    """The likeliest causes with their chances, eight at most, and what is left for none of them."""
    lines = []
    for suspect in [suspect for suspect in hunt.causes() if suspect.chance >= 0.01][:8]:
        lines += wrapped(
            f"{suspect.chance:4.0%} {bar(suspect.chance, 12):12} {suspect.cause.says}",
            width,
            "",
            "                  ",
        )
        for text in suspect.because[:1]:
            lines += wrapped(text, width, "                  ", "                  ")
    none = hunt.belief().none_share
    if none >= 0.01:
        lines.append(f"{none:4.0%} {bar(none, 12):12} something that is not in this list")
    return lines


def step_lines(hunt: FaultHunt, width: int) -> list[str]:
    """The next test, cure or end: what to do, what to expect, why, and what to mind."""
    step = hunt.step()
    head = {"test": "Next: ", "cure": "Now mend: ", "end": "End: "}[step.kind]
    lines = wrapped(head + step.says, width, "", "    ")
    if step.test is not None:
        lines += wrapped(
            f"yes = {step.test.yes}; no = {step.test.no}   ({step.test.name}, {step.test.minutes:g} min)",
            width,
            "    ",
            "    ",
        )
    if step.cause is not None:
        remedy = next(
            (suspect.remedy for suspect in hunt.causes() if suspect.cause.name == step.cause.name), ""
        )
        lines += wrapped(f"Computed for this job: {remedy}", width, "    ", "    ") if remedy else []
    lines += wrapped(f"The design says: {step.expect}", width, "    ", "    ") if step.expect else []
    lines += wrapped(f"Why: {step.because}", width, "    ", "    ")
    for text in step.cautions:
        lines += wrapped(f"! {text}", width, "    ", "      ")
    return lines


def hunt_json(hunt: FaultHunt, matches: tuple[Match, ...]) -> str:
    """The same as JSON, with the complaints that the words may have meant."""
    step = hunt.step()
    from farpress.cli.as_json import as_json

    return as_json(
        {
            "complaint": {"number": hunt.complaint.number, "says": hunt.complaint.says},
            "matches": [
                {"number": match.complaint.number, "says": match.complaint.says, "score": match.score}
                for match in matches
            ],
            "causes": [
                {
                    "name": suspect.cause.name,
                    "says": suspect.cause.says,
                    "chance": suspect.chance,
                    "before": suspect.before,
                    "because": suspect.because,
                    "cure": suspect.cause.cure,
                    "minutes": suspect.cause.minutes,
                    "who": suspect.cause.who,
                    "remedy": suspect.remedy,
                }
                for suspect in hunt.causes()
            ],
            "next": {
                "kind": step.kind,
                "test": step.test.name if step.test else None,
                "cause": step.cause.name if step.cause else None,
                "says": step.says,
                "expect": step.expect,
                "because": step.because,
                "cautions": step.cautions,
                "yes": step.test.yes if step.test else None,
                "no": step.test.no if step.test else None,
            },
            "tests": [step._asdict() for step in hunt.ranked()],
            "answers": dict(hunt.answers),
            "cured": list(hunt.cured),
            "sources": [str(source) for source in hunt.sources],
        }
    )
