"""A job being worked on: every change is a command, saved at once, undoable, and never lost.

One `Workbench` holds one job folder. Several people may change the job through it at once,
other programs may change the file beside it: changes that do not touch each other are
merged, the others are refused with both versions. It judges nothing; `assess` does.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

from farpress.case.door import case_of
from farpress.case.evidence import evidence_in, record_stamp, with_evidence
from farpress.domain.finding import Change
from farpress.editing.judging import Judge, JudgedBeside, State
from farpress.errors import FarpressError, JobFileError
from farpress.jobfile.history import History, Kind, Version
from farpress.jobfile.merging import differences, merge_values, with_changes
from farpress.jobfile.reader import JobDocument, read_job, read_job_text, read_job_tree
from farpress.jobfile.source import job_path, read_source
from farpress.jobfile.text_to_values import tree_values, values_of
from farpress.jobfile.writer import put_text, with_changes_made

__all__ = ["NothingToUndo", "State", "Workbench"]

OUTSIDE: Final = "somebody outside the desk"
"""Who made a change that did not come through a workbench."""


MOST_TRIES: Final = 50
"""Our choice: each try that fails is another desk's save that stands, so even 20 people end long before."""


class NothingToUndo(FarpressError):
    """There is no change of this person that could be taken back or made again."""


class _Overtaken(FarpressError):
    """The file on disk is no longer the state that a change was computed on."""


class Workbench(JudgedBeside):
    """One job folder with its changes."""

    def __init__(self, folder: Path, *, judge: Judge | None = None) -> None:
        """Open a job folder.

        Args:
            folder: the folder, or its job file.
            judge: who judges a case; see `JudgedBeside`.

        Raises:
            JobFileError: the job cannot be used; every fault is listed.
            RecordError: the versions cannot be kept in this folder.
        """
        from farpress.catalogue.store import load_catalogue

        super().__init__(judge)
        self.folder = folder if folder.is_dir() else folder.parent
        self.history = History(self.folder)
        self._catalogue = load_catalogue()
        self.known = self._catalogue.known_names()
        self._lock = threading.RLock()
        self._record_seen = record_stamp(self.folder)
        self._watchers: list[Callable[[Version], None]] = []
        self._seen = self._stamp()
        document = read_job(self.folder, known=self.known)
        self.history.settle(document.fingerprint)
        last = self._last()
        if last is None or last.fingerprint != document.fingerprint:
            kind: Kind = "start" if last is None else "outside"
            self._note(
                document,
                last,
                by=OUTSIDE,
                says="as found" if last is None else "changed outside the desk",
                kind=kind,
            )
        self._state = self._made(document)

    @property
    def job_name(self) -> str:
        """The name of the job."""
        return self.state().case.job.job

    def state(self) -> State:
        """The job as it is now; a file changed by hand outside is noticed and read."""
        if self._stamp() == self._seen and record_stamp(self.folder) == self._record_seen:
            return self._state  # nobody who only looks waits for a change that is being made
        with self._lock:
            self._look()
            self._look_at_record()
            return self._state

    def judged_on(self) -> tuple[object, ...]:
        """The fingerprint of the job file, and the stamps of the record's files."""
        return (self.state().fingerprint, *record_stamp(self.folder))

    def edit(
        self, changes: Sequence[Change], *, by: str, says: str, base: str | None = None
    ) -> Version | None:
        """Make changes and save them, all of them or none.

        Args:
            changes: in this order, as for the job file's writer.
            by: who makes them.
            says: what they do, in words, for the list of versions.
            base: fingerprint of the state they were thought for; others' changes since then are kept.

        Returns:
            The new version, or None where the file says all this already.

        Raises:
            MergeRefused: somebody else changed the same values since `base`; both versions are in it.
            JobFileError: the result would have faults; nothing was written.
        """
        thought_for = base

        def made() -> Version | None:
            nonlocal thought_for
            self._refuse_faulty()
            now = self._state
            thought_for = thought_for or now.fingerprint
            if thought_for == now.fingerprint:
                return self._apply(changes, by=by, says=says, kind="edit")
            before = self._values(thought_for)
            wanted = merge_values(before, with_changes(before, changes), self._values(now.fingerprint))
            return self._apply(
                differences(self._values(now.fingerprint), wanted), by=by, says=says, kind="edit"
            )

        return self._until_it_stands(made)

    def rewrite(self, make: Callable[[str], str], *, by: str, says: str) -> Version | None:
        """Put a text made of the present one in its place, as when a name changes throughout.

        Args:
            make: from the present text to the new one; may be asked again where another program wrote
                meanwhile.
            by, says: as for `edit`.

        Returns:
            The new version, or None where the text stays.

        Raises:
            JobFileError: the result would have faults; nothing was written.
        """

        def made() -> Version | None:
            self._refuse_faulty()
            document = self._state.case.document
            assert document is not None
            text = make(document.source.text)
            if text == document.source.text:
                return None
            return self._put(text, by=by, says=says, kind="edit", of=None)

        return self._until_it_stands(made)

    def undo(self, *, by: str) -> Version:
        """Take back this person's last change that is not taken back yet; changes of others stay.

        Raises:
            NothingToUndo: there is none.
            MergeRefused: somebody changed the same values since; both versions are in it.
        """

        def made() -> Version | None:
            version = self.undoable(by=by)
            if version is None:
                raise NothingToUndo("There is nothing left to take back.")
            return self._reverse(
                version.fingerprint,
                version.previous,
                by=by,
                says=f"taken back: {version.says}",
                kind="undo",
                of=version.number,
            )

        return self._until_it_stands(made) or self._last_or_fail()

    def redo(self, *, by: str) -> Version:
        """Make the change again that this person took back last.

        Raises:
            NothingToUndo: there is none.
            MergeRefused: somebody changed the same values since; both versions are in it.
        """

        def made() -> Version | None:
            version = self.redoable(by=by)
            if version is None:
                raise NothingToUndo("There is nothing to make again.")
            return self._reverse(
                version.previous,
                version.fingerprint,
                by=by,
                says=f"made again: {version.says}",
                kind="redo",
                of=version.number,
            )

        return self._until_it_stands(made) or self._last_or_fail()

    def restore(self, number: int, *, by: str) -> Version:
        """Bring back an earlier version as a new one; the versions between stay in the list.

        Raises:
            FarpressError: there is no such version.
        """

        def made() -> Version | None:
            found = next((version for version in self.history.versions() if version.number == number), None)
            text = self.history.text_of(found.fingerprint) if found else None
            if found is None or text is None:
                raise FarpressError(f"There is no version {number} of this job.")
            return self._put(text, by=by, says=f"version {number} brought back", kind="edit", of=None)

        return self._until_it_stands(made) or self._last_or_fail()

    def undoable(self, *, by: str) -> Version | None:
        """The change that `undo` would take back."""
        standing, _ = self._standing(by)
        return standing[-1] if standing else None

    def redoable(self, *, by: str) -> Version | None:
        """The change that `redo` would make again."""
        _, taken_back = self._standing(by)
        return taken_back[-1] if taken_back else None

    def values(self) -> Any:
        """The present file as plain values, keys as they stand in it."""
        return self._values(self.state().fingerprint)

    def watch(self, tell: Callable[[Version], None]) -> Callable[[], None]:
        """Be told of every new version; the function returned ends it."""
        self._watchers.append(tell)
        return lambda: self._watchers.remove(tell) if tell in self._watchers else None

    # -- below: how it is done -------------------------------------------------------------

    def _until_it_stands(self, made: Callable[[], Version | None]) -> Version | None:
        """Look, compute, write; all of it again where another program wrote in between."""
        with self._lock:
            for _ in range(MOST_TRIES):
                self._look()
                try:
                    return made()
                except _Overtaken:
                    self._seen = (0, 0, 0)
        raise FarpressError(
            f"Other programs wrote this job file {MOST_TRIES} times while this change was made, so nothing"
            " was saved. Find out what writes it all the time (a second desk, an editor that saves by itself)"
            ", then repeat the change."
        )

    def _look(self) -> None:
        """Read the file again where it changed on disk."""
        stamp = self._stamp()
        if stamp == self._seen:
            return
        try:
            source = read_source(self.folder)
            last = self._last()
            if (
                last is not None
                and source.fingerprint == last.fingerprint
                and source.fingerprint == self._state.fingerprint
            ):
                self._state = State(last.number, source.fingerprint, self._state.case)
            else:
                document = read_job(self.folder, known=self.known)
                self.history.settle(document.fingerprint)
                last = self._last()
                if last is None or last.fingerprint != document.fingerprint:
                    self._note(document, last, by=OUTSIDE, says="changed outside the desk", kind="outside")
                self._state = self._made(document)
        except JobFileError as error:
            self._state = State(self._state.version, self._state.fingerprint, self._state.case, error.faults)
        self._seen = stamp

    def _look_at_record(self) -> None:
        """Join presses and levels again where the record changed."""
        stamp = record_stamp(self.folder)
        if stamp == self._record_seen:
            return
        case = self._state.case
        case = with_evidence(case, evidence_in(self.folder, case.job.job))
        self._state = replace(self._state, case=case)
        self._record_seen = stamp

    def _stamp(self) -> tuple[int, int, int]:
        try:
            return self._stamp_of(job_path(self.folder))
        except (OSError, JobFileError):
            return (0, 0, 0)

    @staticmethod
    def _stamp_of(path: Path) -> tuple[int, int, int]:
        try:
            found = path.stat()
        except OSError:
            return (0, 0, 0)
        return (found.st_mtime_ns, found.st_size, found.st_ino) if found.st_size else (0, 0, 0)

    def close(self) -> None:
        """Give back the file of versions; it is opened again when it is needed."""
        self.history.close()

    def _last(self) -> Version | None:
        found = self.history.versions(last=1)
        return found[0] if found else None

    def _note(self, document: JobDocument, last: Version | None, *, by: str, says: str, kind: Kind) -> None:
        number = self.history.begin(
            text=document.source.text,
            fingerprint=document.fingerprint,
            previous=last.fingerprint if last else "",
            by=by,
            says=says,
            kind=kind,
        )
        self.history.arrive(number)
        self._tell()

    def _made(self, document: JobDocument) -> State:
        last = self._last()
        self._record_seen = record_stamp(self.folder)
        events = evidence_in(self.folder, document.job.job)
        case = case_of(document, self._catalogue, folder=self.folder, events=events)
        return State(last.number if last else 0, document.fingerprint, case)

    def _refuse_faulty(self) -> None:
        if self._state.faults:
            raise JobFileError(self._state.faults)

    def _values(self, fingerprint: str) -> Any:
        document = self._state.case.document
        if document is not None and document.fingerprint == fingerprint:
            return tree_values(document.tree)
        text = self.history.text_of(fingerprint)
        if text is None:
            raise FarpressError(
                "The version that this change was made on is not kept here any more. Load the page again and"
                " repeat the change."
            )
        return values_of(text)

    def _apply(
        self, changes: Sequence[Change], *, by: str, says: str, kind: Kind, of: int | None = None
    ) -> Version | None:
        """Make changes on the present state; None where they change nothing."""
        now = self._state
        document = now.case.document
        assert document is not None
        source, tree = with_changes_made(document.source, document.tree, changes)
        result = read_job_tree(source, tree, known=self.known)
        if result.fingerprint == now.fingerprint:
            return None
        return self._write(result, by=by, says=says, kind=kind, of=of)

    def _reverse(self, before: str, after: str, *, by: str, says: str, kind: Kind, of: int) -> Version | None:
        """From the state `before` to the state `after`, whatever happened since."""
        text = self.history.text_of(after)
        if text is None:
            raise FarpressError("The version to go back to is not kept any more.")
        if self._state.fingerprint == before or self._state.faults:
            return self._put(text, by=by, says=says, kind=kind, of=of)
        now = self._values(self._state.fingerprint)
        wanted = merge_values(self._values(before), values_of(text), now)
        return self._apply(differences(now, wanted), by=by, says=says, kind=kind, of=of)

    def _put(self, text: str, *, by: str, says: str, kind: Kind, of: int | None) -> Version:
        return self._write(read_job_text(text, known=self.known), by=by, says=says, kind=kind, of=of)

    def _write(self, document: JobDocument, *, by: str, says: str, kind: Kind, of: int | None) -> Version:
        """Version first, then the file, so that a kill between the two leaves nothing unexplained."""
        computed_on = self._state.fingerprint
        text = document.source.text
        number = self.history.begin(
            text=text,
            fingerprint=document.fingerprint,
            previous=self._state.fingerprint,
            by=by,
            says=says,
            kind=kind,
            of=of,
        )
        try:
            with self.history.arriving(number):
                on_disk = read_source(self.folder).fingerprint
                if on_disk != computed_on and not self._state.faults:
                    raise _Overtaken("The job file was changed meanwhile.")
                put_text(self.folder, text, fingerprint=on_disk)
        except BaseException:
            self.history.drop(number)
            raise
        seen = self._stamp()
        if read_source(self.folder).fingerprint != document.fingerprint:
            seen = (0, 0, 0)  # somebody wrote the file in this very moment: look again
        self._state = self._made(document)
        self._seen = seen
        self._tell()
        return self._last_or_fail()

    def _last_or_fail(self) -> Version:
        last = self._last()
        assert last is not None
        return last

    def _standing(self, by: str) -> tuple[list[Version], list[Version]]:
        """This person's changes that stand, and those taken back that can be made again."""
        standing: list[Version] = []
        taken_back: list[Version] = []
        for version in self.history.versions(by=by):
            if version.kind == "edit":
                standing.append(version)
                taken_back.clear()
            elif version.kind == "undo":
                found = next((edit for edit in standing if edit.number == version.of), None)
                if found is not None:
                    standing.remove(found)
                    taken_back.append(found)
            elif version.kind == "redo":
                found = next((edit for edit in taken_back if edit.number == version.of), None)
                if found is not None:
                    taken_back.remove(found)
                    standing.append(found)
        return standing, taken_back

    def _tell(self) -> None:
        last = self._last()
        for tell in list(self._watchers) if last is not None else ():
            tell(last)  # type: ignore[arg-type]
