"""Stories kept in the job: played, and held against how they shall end."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from farpress.case.case import Case
from farpress.domain.finding import Verdict
from farpress.errors import InputError
from farpress.phrases import listed, plural
from farpress.rehearsal.play import play
from farpress.rehearsal.search import time_text
from farpress.rehearsal.timeline import Timeline

__all__ = ["StoryEnd", "story_ends"]


@dataclass(frozen=True)
class StoryEnd:
    """A kept story as it was played.

    Attributes:
        name: in the job.
        verdict: holds where it ends as the job says it shall.
        says: how it ends, in a sentence.
        because: in which way that is another end than said, or what is missing.
        timeline: what was played; None where it cannot be.
        asks: what is missing.
    """

    name: str
    verdict: Verdict
    says: str
    because: str = ""
    timeline: Timeline | None = None
    asks: tuple[str, ...] = ()


def story_ends(
    case: Case, *, names: tuple[str, ...] | None = None, progress: Callable[[str], None] | None = None
) -> Iterator[StoryEnd]:
    """Play the stories of a job, all if no names are given, and say how each ends."""
    for name in case.job.stories if names is None else names:
        if progress is not None:
            progress(f"story {name}")
        yield _played(case, name, progress)


def _played(case: Case, name: str, progress: Callable[[str], None] | None) -> StoryEnd:
    story = case.job.stories[name]
    wrong = [number for number in story.breaks if number > len(case.job.rules)]
    if wrong:
        has = plural(len(case.job.rules), "rule")
        ask = f"The job has {has}; correct 'breaks' of the story '{name}'."
        return StoryEnd(name, Verdict.UNKNOWN, f"There is no rule {wrong[0]} to break.", ask, asks=(ask,))
    try:
        line = play(case, story.text, progress=progress)
    except InputError as error:
        says = "It cannot be played."
        return StoryEnd(
            name, Verdict.UNKNOWN, says, str(error), asks=(f"Correct the story '{name}': {error}",)
        )
    ends: dict[str, str] = {}
    strange: list[str] = []
    for thing, wanted in story.ends.items():
        path = _path(line, thing)
        stands, words = (line.at_last(path), line.states[path]) if path else ("", ())
        if not path:
            strange.append(f"{thing} does nothing in this story; name what does.")
        elif _plain(wanted) not in words:
            strange.append(f"'{wanted}' is no state of {thing}; it can be {listed(words, last=' or ')}.")
        elif _plain(wanted) != stands:
            ends[thing] = f"{thing} is {stands}, not {wanted}"
    broken = tuple(sorted({rule.number for rule in line.broken if rule.number is not None}))
    others = [f"it breaks rule {number}" for number in broken if number not in story.breaks]
    others += [f"it does not break rule {number}" for number in story.breaks if number not in broken]
    when = f"At {time_text(line.last_s)}"
    if ends or others:
        what = listed([*ends.values(), *others], last=", and ")
        return StoryEnd(name, Verdict.FAILS, f"It does not end as said: {what}.", f"{when}.", line)
    if strange or line.asks:
        asks = (
            [f"{listed(strange)} does nothing in this story; say how what it works ends."] if strange else []
        )
        says = f"Whether it ends as said is open: {' '.join([*asks, *line.asks])}"
        return StoryEnd(name, Verdict.UNKNOWN, says, "", line, (*asks, *line.asks))
    told = (
        listed(f"{thing} {wanted}" for thing, wanted in story.ends.items())
        if story.ends
        else "nothing else said"
    )
    return StoryEnd(name, Verdict.HOLDS, f"It ends as said: {told}.", f"{when}.", line)


def _path(line: Timeline, thing: str) -> str:
    """The track that is meant, by its path or by its name alone; empty where none or several are."""
    fitting = [path for path in line.states if thing in (path, path.partition("/")[2])]
    return fitting[0] if len(fitting) == 1 else ""


def _plain(wanted: str) -> str:
    return " ".join(wanted.split()).casefold()
