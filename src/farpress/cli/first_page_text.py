"""The first page of a job in a terminal: what to stop, to mend, to ask, to watch, then the promises.

Pure text: it prints nothing. Equal things stand once; codes and sources are one step away.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final, NamedTuple

from farpress.cli.marks import MARKS
from farpress.cli.text import columns_of, printable, to_ascii, wrapped
from farpress.domain.finding import Link, Verdict
from farpress.phrases import plural

if TYPE_CHECKING:
    from farpress.overview.concerns import Concern
    from farpress.overview.page import FirstPage
    from farpress.overview.promises import PromiseRow
    from farpress.overview.questions import OpenFact

__all__ = ["first_page_text"]

_SHORT: Final = {
    Link.FOB: "fob",
    Link.AIR: "air",
    Link.RECEIVER: "rcv",
    Link.OUTPUT: "out",
    Link.CONTACT: "con",
    Link.SUPPLY: "sup",
    Link.DEVICE: "dev",
    Link.PANEL: "pan",
    Link.REGISTER: "reg",
    Link.SAFETY: "saf",
}
"""Heads of the columns of a chain; a rule is no link of a promise."""

_PAPER: Final = "paper: "
"""How what waits for a paper begins."""

_WATCHED: Final = 2
"""What holds only just, in so many lines; our choice."""


def first_page_text(page: FirstPage, *, job: str, width: int = 80, plain: bool = False) -> str:
    """The page as lines.

    Args:
        page: what to show.
        job: how the job is called on the command line.
        width: columns to keep within, at least 60.
        plain: only ASCII signs.

    Returns:
        Lines without an end of line after the last.
    """
    sheet = _Sheet(max(width, 60), plain)
    lines = [
        *sheet.head(page),
        *sheet.concerns("STOP: somebody can be hurt, or nobody may accept it", page.stop),
        *sheet.concerns("MEND: by what has to change; farpress mend tries it", page.mend),
        *sheet.questions(page),
        *sheet.watch(page.watch),
        *sheet.promises(page.rows),
        *sheet.foot(page, job),
    ]
    return "\n".join(printable(line) for line in lines)


def _is_paper(question: OpenFact) -> bool:
    return any(about.startswith(_PAPER) for about in question.about)


class _Sheet(NamedTuple):
    width: int
    plain: bool

    def head(self, page: FirstPage) -> Iterator[str]:
        counts = ", ".join(f"{count} {verdict}" for verdict, count in page.promises.items() if count)
        total = sum(page.promises.values())
        right = f"{plural(total, 'promise')}: {counts}" if total else "no promises yet"
        yield from self.sides(page.job, right)

    def concerns(self, title: str, concerns: Sequence[Concern]) -> Iterator[str]:
        if not concerns:
            return
        yield ""
        yield from self.sides(title, "promises")
        for concern in concerns:
            yield from self.concern(concern)

    def concern(self, concern: Concern) -> Iterator[str]:
        """What, with its figures and how many promises wait; then what mends it."""
        waits = str(len(concern.promises)) if concern.promises else ""
        names = concern.names
        first, *others = concern.told
        room = self.width - len(waits) - 5
        yield from self.sides(f"{_named(names, f': {first}', room)}", waits, number=concern.number)
        harmful = max(concern.harmful - 1, 0)
        grave, rest = "; ".join(others[:harmful]), len(others) - harmful
        counted = f"; +{rest}" if rest else ""
        if grave and columns_of(f"    also {grave}{counted}") > self.width - self.dots:
            yield from self.wrap(f"also {grave}{counted}", 4)  # what can hurt somebody is never only counted
        elif others:
            yield f"    {self.sign(_first('also ', others, self.width - 4 - self.dots))}"
        if concern.advice():
            yield from self.wrap(("BARRED. " if concern.barred else "") + self.short(concern), 4)
        elif concern.barred:
            yield from self.wrap("BARRED: nobody may accept it; it must be changed.", 4)

    def short(self, concern: Concern) -> str:
        """What mends it, with its effect where both fit on a line, else without."""
        whole = concern.advice()
        return whole if columns_of(whole) <= self.width - 4 else concern.advice(with_effect=False)

    def questions(self, page: FirstPage) -> Iterator[str]:
        if not page.ask:
            return
        yield ""
        papers = [question for question in page.ask if _is_paper(question)]
        facts = [question for question in page.ask if question not in papers]
        minutes = sum(question.minutes for question in facts)
        missing = f"; {plural(len(papers), 'paper')} missing: assess JOB paper" if papers else ""
        yield f"ASK OR MEASURE: {plural(len(facts), 'fact')}, about {minutes:.0f} min{missing}"
        by_who: dict[str, list[OpenFact]] = {}
        for question in facts:
            by_who.setdefault(str(question.who), []).append(question)
        for who, asked in by_who.items():
            lead = f"{len(asked):2} from {who}"
            yield f"  {self.sign(_cut(f'{lead}: {asked[0].says}', self.width - 2 - self.dots))}"

    def watch(self, concerns: Sequence[Concern]) -> Iterator[str]:
        if not concerns:
            return
        yield ""
        left = len(concerns) - _WATCHED
        more = f"; {plural(left, 'further thing')} in --all" if left > 0 else ""
        links = plural(sum(len(concern.findings) for concern in concerns), "link")
        yield f"WATCH: {links} only just hold{more}"
        for concern in concerns[:_WATCHED]:
            names, says = concern.names, f": {concern.says(concern.codes[0])}"
            room = self.width - 2 - self.dots
            yield f"  {self.sign(_cut(_named(names, says, room), room))}"

    def promises(self, rows: Sequence[PromiseRow]) -> Iterator[str]:
        if not rows:
            return
        links = [link for link in _SHORT if any(link in dict(row.links) for row in rows)]
        room = self.width - 4 * len(links)
        yield ""
        yield self.sign(f"{'PROMISES':{room}}" + " ".join(f"{_SHORT[link]:3}" for link in links)).rstrip()
        for row in rows:
            words = dict(row.links)
            drawn = " ".join(
                f"{self.sign(MARKS[words[link]]):^3}" if link in words else "   " for link in links
            )
            yield f"{_fitted(row, room - 1 - self.dots):{room}}{drawn}".rstrip()

    def foot(self, page: FirstPage, job: str) -> Iterator[str]:
        example = page.concerns[0].number if page.concerns else "REF"
        legend = "  ".join(f"{MARKS[verdict]} {verdict}" for verdict in Verdict)
        yield from self.sides(legend, f"{page.fingerprint[:16]}, Farpress {page.version}")
        yield from self.wrap(f"One in full: farpress assess {job} {example}   All: --all", 0)

    def sides(self, left: str, right: str, *, number: int = 0) -> Iterator[str]:
        """A text with a short one at the right end of its first line, where that leaves it readable."""
        lead = f"{number:2} " if number else ""
        lines = self.wrap(left, len(lead), hang=4, room=self.width - len(right) - 2)
        first = lead + lines[0][len(lead) :]
        gap = self.width - columns_of(first) - len(right)
        yield f"{first}{' ' * gap}{right}".rstrip()
        yield from self.wrap(" ".join(line.strip() for line in lines[1:]), 4) if len(lines) > 1 else ()

    def wrap(self, text: str, indent: int, *, hang: int | None = None, room: int = 0) -> list[str]:
        rest = indent if hang is None else hang
        return wrapped(self.sign(text), room or self.width, " " * indent, " " * rest)

    @property
    def dots(self) -> int:
        """Columns that the sign for more takes beyond its own one: three dots where it is plain."""
        return 2 if self.plain else 0

    def sign(self, text: str) -> str:
        return to_ascii(text) if self.plain else text


def _named(names: Sequence[str], says: str, room: int) -> str:
    """Names before a text, as many as a line holds, at least one; the others counted."""
    for shown in range(len(names), 0, -1):
        more = f" +{len(names) - shown}" if shown < len(names) else ""
        text = f"{', '.join(names[:shown])}{more}{says}"
        if shown == 1 or columns_of(text) <= room:
            return text
    return says.removeprefix(": ")


def _first(lead: str, texts: Sequence[str], room: int) -> str:
    """As many of several texts as a line holds, at least one; the others counted."""
    for shown in range(len(texts), 0, -1):
        more = f"; +{len(texts) - shown}" if shown < len(texts) else ""
        text = f"{lead}{'; '.join(texts[:shown])}{more}"
        if columns_of(text) <= room:
            return text
    return _cut(f"{lead}{texts[0]}", room)


def _cut(text: str, room: int) -> str:
    """A text of one line: where it is longer it ends with a sign that there is more."""
    line = wrapped(text, room)[0]
    return line if line == text else f"{wrapped(text, room - 2)[0]} …"


def _fitted(row: PromiseRow, room: int) -> str:
    """Functions, groups and places within a width: names where they fit, else their number."""
    should = "" if row.importance == "must" else " (should)"
    groups, places = ", ".join(row.groups), ", ".join(row.places)
    some, spots = plural(len(row.groups), "group"), plural(len(row.places), "place")
    ways = [
        f": {who} from {where}"
        for who, where in ((groups, places), (groups, spots), (some, places), (some, spots))
    ]
    if not row.groups:
        ways = []
    for way in (*ways, ""):
        text = _named(row.functions, f"{way}{should}", room - 1)
        if columns_of(text) <= room - 1:
            return f" {text}"
    return f" {_cut(f'{row.functions[0]}{should}', room - 1)}"
