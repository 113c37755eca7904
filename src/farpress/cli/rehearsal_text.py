"""What a rehearsal found, as text for a terminal and as JSON for programs. Pure: prints nothing."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import asdict, replace
from typing import TYPE_CHECKING, Any

from farpress.cli.marks import MARKS
from farpress.cli.text import table, to_ascii, wrapped
from farpress.domain.finding import Verdict
from farpress.phrases import plural

if TYPE_CHECKING:
    from farpress.rehearsal.chances import Chance
    from farpress.rehearsal.kept_stories import StoryEnd
    from farpress.rehearsal.power import PowerRow
    from farpress.rehearsal.rules import RuleResult
    from farpress.rehearsal.timeline import Timeline

__all__ = [
    "chances_json",
    "chances_text",
    "ends_json",
    "ends_text",
    "power_json",
    "power_text",
    "results_json",
    "results_text",
    "timeline_json",
    "timeline_text",
]


def results_text(
    job: str, results: Sequence[RuleResult], *, width: int, everything: bool, plain: bool
) -> str:
    """Rule by rule; what holds in one line each with `everything`, else counted."""
    lines = [*wrapped(f"{job}: every press story", width)]
    keys = dict.fromkeys((result.number, result.never) for result in results)
    for number, never in keys:
        own = [result for result in results if (result.number, result.never) == (number, never)]
        lines += [
            "",
            *wrapped(
                f"Rule {number}: never {never}" if number is not None else "What must never be in any job",
                width,
                "",
            ),
        ]
        holding = [result for result in own if result.verdict is Verdict.HOLDS]
        for result in own:
            if result.verdict is not Verdict.HOLDS or everything:
                lines += _result(result, width)
        if holding and not everything:
            searched = [result for result in holding if result.searched]
            sign = MARKS[Verdict.HOLDS]
            if searched:
                count = sum(result.states for result in searched)
                lines += wrapped(
                    f"{sign} {len(searched)} searched to the end without such a story ({count} states)",
                    width,
                    "  ",
                    "     ",
                )
            looked = [result for result in holding if not result.searched]
            if looked:
                says = (
                    looked[0].says
                    if len(looked) == 1
                    else (
                        f"{len(looked)} settled without a search, from who holds what and how things are"
                        " built"
                    )
                )
                lines += wrapped(f"{sign} {says}", width, "  ", "     ")
    counted = ", ".join(
        f"{sum(result.verdict is verdict for result in results if result.searched)} {verdict}"
        for verdict in Verdict
    )
    lines += [
        "",
        *wrapped(
            f"{plural(sum(result.searched for result in results), 'search', 'searches')}: {counted};"
            f" {sum(result.states for result in results)} states.",
            width,
            "",
        ),
    ]
    failing = sum(result.verdict is Verdict.FAILS and not result.searched for result in results)
    if failing:
        lines += wrapped(
            f"{failing} of the rules settled without a search fail{'s' if failing == 1 else ''}.", width, ""
        )
    if any(result.verdict is Verdict.FAILS for result in results):
        lines += wrapped(
            "A rehearsal proves the logic, not the machine. Radio is never a safety function; local codes and"
            " licensed practice decide.",
            width,
            "",
        )
    text = "\n".join(lines)
    return to_ascii(text) if plain else text


def _result(result: RuleResult, width: int) -> Iterator[str]:
    about = f"{result.about}: " if result.about else ""
    yield from wrapped(f"{MARKS[result.verdict]} {about}{result.verdict}", width, "  ", "     ")
    if result.story is not None:
        if result.head:
            yield from wrapped(result.head, width, "     ")
        for step in result.story.steps:
            yield from wrapped(f"{_time(step.at_s):>12}  {step.says}", width, "  ", " " * 16)
        yield from wrapped(f"{result.story.end_text:>12}  so {result.story.ends}", width, "  ", " " * 16)
    else:
        yield from wrapped(result.says, width, "     ")
    because = result.grounds if result.is_shortest else result.because
    if because:
        yield from wrapped(because, width, "     ")


def _time(at_s: float) -> str:
    from farpress.rehearsal.rules import time_text

    return time_text(at_s)


def timeline_text(timeline: Timeline, end: StoryEnd | None = None, *, width: int) -> str:
    """A played story, one change a line, then the rules it breaks, and how one kept in the job ends."""
    lines = [*wrapped(timeline.job, width), *wrapped(timeline.story, width, ""), ""]
    for line in timeline.lines:
        at_s, _, says = line.partition(": ")
        lines += wrapped(f"{at_s:>14}  {says}", width, "", " " * 16)
    lines.append("")
    for breach in timeline.broken:
        rule = f"rule {breach.number}" if breach.number is not None else "always"
        lines += wrapped(
            f"Broken: {rule}, never {breach.never} ({breach.about}): {breach.says}.", width, "", "  "
        )
    if not timeline.broken:
        lines += wrapped("No rule that a story can break is broken.", width, "")
    for ask in timeline.asks:
        lines += wrapped(f"Left out: {ask}", width, "", "  ")
    if timeline.taken:
        lines += wrapped(f"Taken: {'; '.join(timeline.taken)}.", width, "", "  ")
    if end is not None:
        lines += ["", *_end(end, width)]
    return "\n".join(lines)


def ends_text(job: str, ends: Sequence[StoryEnd], *, width: int) -> str:
    """How the stories of a job end."""
    lines = [*wrapped(f"{job}: its stories", width), ""]
    for end in ends:
        lines += _end(end, width)
    if not ends:
        lines += wrapped("No story is kept in this job; write one under 'stories'.", width, "")
    return "\n".join(lines)


def _end(end: StoryEnd, width: int) -> list[str]:
    return wrapped(f"{MARKS[end.verdict]} {end.name}: {end.says} {end.because}".rstrip(), width, "", "     ")


def power_text(job: str, rows: Sequence[PowerRow], *, width: int) -> str:
    """The table of a power cut, columns as wide as they need."""
    cells = [(row.path, row.before, row.during, row.after) for row in rows]
    notes = [_after_the_cut(row) for row in rows]
    shown = table(cells, head=("", "before", "during", "after"), width=width, notes=notes)
    return "\n".join([*wrapped(f"{job}: through a power cut", width), "", shown])


def _after_the_cut(row: PowerRow) -> list[str]:
    sentences = ["comes on by itself once the power is back"] if row.comes_on else []
    sentences += [
        f"{cut.cut}: {cut.after} {'as it returns, by itself' if cut.comes_on else 'after it'}"
        for cut in row.alone
    ]
    return [*sentences, row.asks] if row.asks else sentences


def chances_text(job: str, chances: Sequence[Chance], *, width: int) -> str:
    """How likely things go wrong in use."""
    lines = [*wrapped(f"{job}: how likely", width)]
    for chance in chances:
        lines += ["", *wrapped(f"{chance.about}: {chance.says}", width, "", "  ")]
        if chance.because:
            lines += wrapped(chance.because, width, "  ")
    if not chances:
        lines += [
            "",
            *wrapped(
                "Nothing here can be said in numbers: no output toggles, no barrier has its arrivals"
                " counted.",
                width,
                "",
            ),
        ]
    return "\n".join(lines)


def results_json(job: str, results: Sequence[RuleResult]) -> str:
    """The results, keys as in the program."""
    return _json(
        {"job": job, "results": [asdict(result) | {"verdict": str(result.verdict)} for result in results]}
    )


def timeline_json(timeline: Timeline, end: StoryEnd | None = None) -> str:
    """The time line, keys as in the program, and how a story kept in the job ends."""
    return _json(asdict(timeline) | ({} if end is None else {"end": _end_values(end)}))


def ends_json(job: str, ends: Sequence[StoryEnd]) -> str:
    """How stories end, keys as in the program."""
    return _json({"job": job, "stories": [_end_values(end) for end in ends]})


def _end_values(end: StoryEnd) -> dict[str, Any]:
    return asdict(replace(end, timeline=None)) | {"verdict": str(end.verdict)}


def power_json(job: str, rows: Sequence[PowerRow]) -> str:
    """The table, keys as in the program."""
    return _json({"job": job, "rows": [asdict(row) for row in rows]})


def chances_json(job: str, chances: Sequence[Chance]) -> str:
    """The chances, keys as in the program."""
    return _json({"job": job, "chances": [asdict(chance) for chance in chances]})


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, indent=2)
