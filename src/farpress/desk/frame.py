"""The surround of every page: who asks, which job, the list of pages, and how a template becomes an
answer.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any, Final
from urllib.parse import quote

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response

from farpress.desk import apart as apart_tasks
from farpress.desk import drawing
from farpress.desk.access import Access, DeskRole, Session
from farpress.desk.live import Hub
from farpress.desk.shelf import DeskShelf
from farpress.desk.workers import Worker
from farpress.domain.finding import Assessment
from farpress.editing.judging import Judge
from farpress.editing.workbench import State, Workbench
from farpress.errors import FarpressError, JobFileError
from farpress.jobfile.merging import MergeRefused
from farpress.version import __version__

__all__ = [
    "PAGES",
    "READ_S",
    "Desk",
    "JobRequest",
    "Refused",
    "Warming",
    "answer",
    "effect_of",
    "failure",
    "sheet_of",
]

PAGES: Final[tuple[tuple[str, str, str], ...]] = (
    ("promises", "First page", "What must stop, what to mend, what to ask, and every promise"),
    ("mend", "Mend", "What to change so that everything holds, each change tried"),
    ("design", "Design", "Receivers, supplies and cables drawn up from what is wished"),
    ("plan", "Plan", "Walls, places, receivers and the reach of every press"),
    ("wiring", "Wiring", "Every volt, ampere and loop"),
    ("meter", "Meter", "Touch two terminals in any state, and try a fault"),
    ("rehearsal", "Rehearsal", "Play it before it is installed"),
    ("keys", "Keys", "Who holds which fob, and where it is learned"),
    ("proving", "Proving", "What was tried, and what it shows"),
    ("papers", "Papers", "What is handed over"),
    ("quote", "Quote", "What it takes, and what it costs by the firm's lists"),
    ("upkeep", "Upkeep", "What is due when"),
    ("seen", "Photos", "Photos and voice notes, with the thing they show"),
    ("faults", "Faults", "From the complaint to its cause"),
    ("job", "Job", "Everything that is entered"),
    ("versions", "Versions", "Every change, and the way back"),
)
"""Name in the address, title, and one line of what it is for."""

HERE: Final = Path(__file__).parent

WAIT_S: Final = 0.12
"""How long a page waits for a new judgement before it shows the last one and says so: our choice."""

KEPT_TEXTS: Final = 24
"""Pieces of pages kept for the next who asks: our choice, some megabytes at most."""

READ_S: Final = 30.0
"""How long a file from outside may keep its worker: our choice, a large plan takes three."""

FIRST_S: Final = 0.8
"""The same where none was made yet: our choice."""

MOST_WAITING: Final = 8
"""How many may wait for papers, or for searches: our choice; each keeps one of the forty threads that serve
pages."""


@dataclass
class Warming:
    """Whether the calculation of reach is being made ready for this computer, which takes long the first
    time.

    Attributes:
        begun: when, by the clock that only goes on; 0 where it never begins.
        done: set when nothing has to be waited for any more.
    """

    begun: float = 0.0
    done: threading.Event = field(default_factory=threading.Event)

    def passed_s(self, patience_s: float) -> float | None:
        """None as soon as it is ready; else, after so much patience, how long it has been going on [s]."""
        if not self.begun or self.done.wait(max(0.0, self.begun + patience_s - time.monotonic())):
            return None
        return time.monotonic() - self.begun


@dataclass
class Desk:
    """What every page can use."""

    shelf: DeskShelf
    access: Access
    hub: Hub
    reach: Worker
    judging: Worker
    reading: Worker
    printing: Worker
    searching: Worker
    warming: Warming = field(default_factory=lambda: Warming())
    asking: threading.local = field(default_factory=threading.local)
    ended: threading.Event = field(default_factory=threading.Event)
    _notes: dict[str, str] = field(default_factory=dict)
    _told: set[str] = field(default_factory=set)
    _before: dict[str, Assessment] = field(default_factory=dict)
    _kept: dict[tuple[object, ...], tuple[Assessment, str]] = field(default_factory=dict)

    @classmethod
    def over(cls, where: Path, access: Access, *, apart: bool) -> Desk:
        """A desk over a folder; `apart`: with processes of their own for what takes long."""
        judging = Worker("judging", apart=apart)
        shelf = DeskShelf(
            where,
            judge=Judge(
                lambda case: judging.ask(apart_tasks.judged, apart_tasks.Snapshot.of(case)),
                lambda case: judging.ask(apart_tasks.tried, apart_tasks.Snapshot.of(case)),
            ),
        )
        printing, searching = (
            Worker(name, apart=apart, patient=True, most=MOST_WAITING) for name in ("papers", "searches")
        )
        return cls(
            shelf,
            access,
            Hub(),
            Worker("reach", apart=apart),
            judging,
            Worker("reading", apart=apart),
            printing,
            searching,
        )

    def kept(self, key: tuple[object, ...], of: Assessment, make: Callable[[], str]) -> str:
        """A text that was made before for this key and this very judgement, or is made now."""
        found = self._kept.get(key)
        if found is None or found[0] is not of:
            found = self._kept[key] = (of, make())
            while len(self._kept) > KEPT_TEXTS:
                self._kept.pop(next(iter(self._kept)), None)
        return found[1]

    def close(self) -> None:
        """Give back files and processes; what is judged or looked at beside ends too."""
        self.ended.set()
        for worker in (self.reach, self.judging, self.reading, self.printing, self.searching):
            worker.close()
        self.shelf.close()

    def bench(self, name: str) -> Workbench:
        """The workbench of a job; its news go to every open page.

        Raises:
            FarpressError: there is no such job here, or it cannot be used.
        """
        bench = self.shelf.bench(name)
        if name not in self._told:
            self._told.add(name)
            bench.watch(
                lambda version: self.hub.tell(
                    name,
                    "changed",
                    version=version.number,
                    fingerprint=version.fingerprint,
                    by=version.by,
                    says=version.says,
                    client=getattr(self.asking, "client", ""),
                )
            )
            bench.watch_judged(lambda made: self._judged(name, made))
        return bench

    def note(self, fingerprint: str, client: str) -> None:
        """Remember which page made a state, so that it is the one to be told what it did to the promises."""
        self._notes[fingerprint] = client
        while len(self._notes) > 500:
            self._notes.pop(next(iter(self._notes)))

    def judged_before(self, name: str, made: Assessment) -> None:
        """Remember what a page was shown last, to say what the next change did to it."""
        self._before[name] = made

    def _judged(self, name: str, made: Assessment) -> None:
        before = self._before.get(name)
        self._before[name] = made
        self.hub.tell(
            name,
            "judged",
            fingerprint=made.fingerprint,
            client=self._notes.get(made.fingerprint, ""),
            says=effect_of(before, made) if before is not None else "",
        )

    @cached_property
    def templates(self) -> Environment:
        """The templates; every text is escaped."""
        made = Environment(
            loader=FileSystemLoader(HERE / "templates"),
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        made.globals.update(pages=PAGES, version=__version__, drawing=drawing, roles=list(DeskRole))
        made.filters.update(
            number=_number, address=lambda text: quote(str(text), safe=""), sentence=_sentence
        )
        return made


class Refused(FarpressError):
    """This person's role does not allow it."""


@dataclass(frozen=True)
class JobRequest:
    """One request for one job: who, which job, in which state."""

    request: Request
    desk: Desk
    session: Session
    name: str
    bench: Workbench

    @cached_property
    def state(self) -> State:
        """The job as it was when the request began."""
        return self.bench.state()

    def judged(self) -> tuple[Assessment, str]:
        """The judgement to be shown, and how it stands: "" for the present state, "trying" while its remedies
        are tried, "before" or "first" while it is being made.
        """
        seen = self.bench.assessment_soon(wait_s=WAIT_S, first_s=FIRST_S)
        if seen.assessment is None:
            return Assessment(self.state.case.job.job, self.state.fingerprint, __version__, (), ()), "first"
        if not seen.is_current:
            return seen.assessment, "before"
        self.desk.judged_before(self.name, seen.assessment)
        return seen.assessment, "" if seen.is_tried else "trying"

    def findings_now(self) -> tuple[Assessment, bool]:
        """The present state judged, waited for, and whether its remedies are still being tried."""
        seen = self.bench.findings_now()
        assert seen.assessment is not None
        return seen.assessment, not seen.is_tried

    @property
    def root(self) -> str:
        """Beginning of every address of this job."""
        return f"/j/{self.name}"

    def need(self, role: DeskRole) -> None:
        """Go on only for this role or a higher one.

        Raises:
            Refused: the session's role is too low.
        """
        if self.session.role < role:
            raise Refused(
                f"You came in as {self.session.role.name.lower()}; this needs the code of the"
                f" {role.name.lower()}."
            )

    def page(self, template: str, *, here: str, status: int = 200, **values: Any) -> Response:
        """A whole page, or only its main part where the script asks for that."""
        title = next((title for name, title, _ in PAGES if name == here), here)
        details = self.state.case.job.details
        whole = {
            "layout": "part.html" if self.request.headers.get("x-part") == "main" else "frame.html",
            "here": here,
            "title": title,
            "sheet": self,
            "session": self.session,
            "root": self.root,
            "state": self.state,
            "job": self.state.case.job,
            "details": details,
            "undoable": self.bench.undoable(by=self.session.name),
            "redoable": self.bench.redoable(by=self.session.name),
            "may": self.may,
            "several": len(self.desk.shelf.names()) > 1,
            "shared": self.desk.access.shared,
            "judging": "",
        }
        return HTMLResponse(self.desk.templates.get_template(template).render(**{**whole, **values}), status)

    def part(self, template: str, **values: Any) -> Response:
        """A piece of a page, as for a dialogue."""
        return HTMLResponse(self.text(template, **values))

    def text(self, template: str, **values: Any) -> str:
        """A piece of a page as text, every value in it escaped, to stand in another."""
        whole = {
            "sheet": self,
            "session": self.session,
            "root": self.root,
            "state": self.state,
            "job": self.state.case.job,
            "may": self.may,
        }
        return self.desk.templates.get_template(template).render(**{**whole, **values})

    def kept(self, name: str, of: Assessment, make: Callable[[], str]) -> str:
        """A piece of a page that is the same for everybody of one role while job and judgement stay; made
        once.
        """
        return self.desk.kept((name, self.name, self.state.fingerprint, self.session.role), of, make)

    def may(self, role: str) -> bool:
        """Whether the session's role is this one or higher."""
        return self.session.role >= DeskRole[role.upper()]


def effect_of(before: Assessment, after: Assessment) -> str:
    """What a change did to the promises, in a sentence; empty for nothing."""
    was = {chain.id: chain.verdict for chain in before.promises}
    steps = [chain.verdict.rank - was[chain.id].rank for chain in after.promises if chain.id in was]
    parts = [
        f"{count} promise{'s' if count != 1 else ''} {word}"
        for count, word in (
            (sum(step < 0 for step in steps), "better"),
            (sum(step > 0 for step in steps), "worse"),
        )
        if count
    ]
    return (", ".join(parts).capitalize() + ".") if parts else ""


def sheet_of(request: Request, *, role: DeskRole = DeskRole.READER) -> JobRequest:
    """The sheet that a request is about, where its role allows that.

    Raises:
        FarpressError: no such job, or it cannot be used.
        Refused: the role is too low.
    """
    desk: Desk = request.app.state.desk
    name = request.path_params["job"]
    desk.asking.client = request.headers.get(
        "x-client", ""
    )  # who asks in this thread, so that its own page is not told its own news
    sheet = JobRequest(request, desk, request.state.session, name, desk.bench(name))
    sheet.need(role)
    return sheet


def answer(says: str = "", **values: Any) -> JSONResponse:
    """Something was done: a sentence for the person, and what the script needs."""
    return JSONResponse({"ok": True, "says": says, **values})


def failure(error: FarpressError) -> JSONResponse:
    """Something was not done: why, with every fault and both versions where two people clashed."""
    values: dict[str, Any] = {"ok": False, "says": str(error), "faults": [], "clashes": []}
    status = 422
    if isinstance(error, JobFileError):
        values["says"] = "Nothing was written."
        values["faults"] = [
            {"path": fault.path, "line": fault.line, "says": fault.says} for fault in error.faults
        ]
    elif isinstance(error, MergeRefused):
        status = 409
        values["clashes"] = [
            {"path": [*clash.path], "before": clash.before, "mine": clash.mine, "theirs": clash.theirs}
            for clash in error.clashes
        ]
    elif isinstance(error, Refused):
        status = 403
    return JSONResponse(values, status)


def _number(value: float | None, unit: str = "") -> str:
    """Four digits and the unit, as everywhere."""
    if value is None:
        return ""
    if unit == "share" or unit == "%":
        return f"{value:.1%}" if unit == "share" else f"{value:.4g} %"
    return f"{value:.4g}{' ' + unit if unit else ''}".replace("-", "−")


def _sentence(text: str) -> str:
    """A text that begins with a capital and ends with a stop."""
    shown = text.strip()
    if not shown:
        return ""
    shown = shown[0].upper() + shown[1:]
    return shown if shown[-1] in ".?!:" else f"{shown}."
