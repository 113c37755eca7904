"""Any order of adding, copying, changing, bringing back and putting away: the shelf agrees with a plain model
of it.
"""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, consumes, initialize, invariant, multiple, rule

from farpress.domain.acts import Note
from farpress.domain.event import happened
from farpress.errors import InputError
from farpress.firm.moves import check_in, check_out
from farpress.firm.privacy import forget
from farpress.firm.shelf import Firm, start_firm
from farpress.jobfile.merging import MergeRefused
from farpress.jobfile.text_to_values import values_of
from farpress.record.store import open_record

pytestmark = pytest.mark.long

TEXT = """farpress: 1   # kept remark
job: {name}
grade: 2
details: {{customer: Pim Vardel, address: "3 Kiln Street, Oakmire", issue: "1"}}
premises:
  house: {{places: {{street: {{at: [0, -5]}}}}}}
people: {{Pim Vardel: {{age: 40}}}}
"""

FIELDS = {
    ("grade",): ["1", "2", "3"],
    ("details", "issue"): ["1", "2", "3", "4"],
    ("details", "insurer"): ["told", "asked"],
    ("region",): ["europe", "north america"],
}
"""Keys that are changed, and to what; a key that is not there is added."""


class ShelfMachine(RuleBasedStateMachine):
    """Two jobs, any number of copies; the model holds each job as a plain table of keys and values."""

    copies = Bundle("copies")

    @initialize(target=copies)
    def begin(self) -> Any:
        """A shelf with a job and two copies of it."""
        self.home = Path(tempfile.mkdtemp(prefix="farpress-shelf-"))
        self.firm: Firm = start_firm(str(self.home / "firm.sqlite"))[0]
        self.model: dict[str, list[dict[Any, Any]]] = {}
        self.archived: set[str] = set()
        self.based: dict[Path, tuple[str, dict[Any, Any]]] = {}
        self.notes: dict[str, set[str]] = {}
        self.unsent: dict[Path, set[str]] = {}
        self.forgotten: set[str] = set()
        self.number = 0
        self.add("Alder House")
        return multiple(self.check_out(0), self.check_out(0))

    def teardown(self) -> None:
        """Nothing stays."""
        if hasattr(self, "firm"):
            self.firm.close()
            shutil.rmtree(self.home)

    @rule(
        one=copies,
        other=copies,
        keys=st.permutations(sorted(FIELDS)),
        values=st.tuples(st.integers(0, 3), st.integers(0, 3)),
    )
    def drift_apart(
        self, one: Path | None, other: Path | None, keys: list[tuple[str, ...]], values: tuple[int, int]
    ) -> None:
        """Two copies are changed in different places and come back one after the other."""
        for folder, key, value in ((one, keys[0], values[0]), (other, keys[1], values[1])):
            self.edit(folder, key, value)
        self.check_in(one)
        self.check_in(other)

    @rule(name=st.sampled_from(["Alder House", "Birch Court"]))
    def add(self, name: str) -> None:
        """A job comes onto the shelf once; a second time it is refused."""
        folder = self._folder()
        folder.mkdir()
        (folder / "job.yaml").write_text(TEXT.format(name=name))
        if name in self.model:
            with pytest.raises(InputError, match="already"):
                self.firm.add(folder)
        else:
            self.firm.add(folder)
            self.model[name] = [_values(TEXT.format(name=name))]
            self.notes[name] = set()

    @rule(target=copies, pick=st.integers(0, 1))
    def check_out(self, pick: int) -> Any:
        """A copy equals the newest version."""
        names = sorted(self.model)
        if len(names) <= pick:
            return None
        folder = self._folder()
        check_out(self.firm, names[pick], folder)
        self.based[folder] = (names[pick], self._now(folder))
        self.unsent[folder] = set()
        assert self._now(folder) == self.model[names[pick]][-1]
        return folder

    @rule(folder=copies, key=st.sampled_from(sorted(FIELDS)), value=st.integers(0, 3))
    def edit(self, folder: Path | None, key: tuple[str, ...], value: int) -> None:
        """A value is changed in a copy."""
        from farpress.domain.finding import Change
        from farpress.jobfile.writer import apply_changes

        if folder is not None:
            wanted = FIELDS[key][value % len(FIELDS[key])]
            apply_changes(folder, [Change(key, int(wanted) if key == ("grade",) else wanted)])

    @rule(folder=copies)
    def note(self, folder: Path | None) -> None:
        """Something happens at the premises."""
        if folder is not None:
            self.number += 1
            with open_record(folder) as record:
                record.append(Note(says=f"n{self.number}"), job=self.based[folder][0], by="me")
            self.unsent[folder].add(f"n{self.number}")

    @rule(folder=copies)
    def check_in(self, folder: Path | None) -> None:
        """Both sides' changes are there afterwards; where they clash nothing has changed."""
        if folder is None:
            return
        name, base = self.based[folder]
        mine, head = self._now(folder), self.model[name][-1]
        keys = set(mine) | set(head) | set(base)
        if name in self.forgotten and base.get(("details", "customer")) == "Pim Vardel" and mine != base:
            with pytest.raises(InputError, match="--taken-out"):
                check_in(self.firm, folder)
            return
        if name in self.forgotten and base.get(("details", "customer")) == "Pim Vardel":
            base = mine = {
                key: head[key] if "Pim Vardel" in (*key, value) else value
                for key, value in base.items()
                if key in head or "Pim Vardel" not in key
            }
            check_in(self.firm, folder)
            self.based[folder] = (name, self._now(folder))
            self.notes[name] |= self.unsent[folder]
            assert self._now(folder) == head
            return
        clash = [
            key
            for key in keys
            if mine.get(key) != base.get(key)
            and head.get(key) != base.get(key)
            and mine.get(key) != head.get(key)
        ]
        if clash:
            with pytest.raises(MergeRefused) as refused:
                check_in(self.firm, folder)
            assert {one.path for one in refused.value.clashes} == set(clash)
            assert self._now(folder) == mine
            return
        merged = {key: mine.get(key) if mine.get(key) != base.get(key) else head.get(key) for key in keys}
        merged = {key: value for key, value in merged.items() if value is not None}

        back = check_in(self.firm, folder)

        assert back.is_new == (merged != head)
        if merged != head:
            self.model[name].append(merged)
        self.based[folder] = (name, self._now(folder))
        self.notes[name] |= self.unsent[folder]
        assert self._now(folder) == merged

    @rule(folder=consumes(copies))
    def lose(self, folder: Path | None) -> None:
        """A laptop falls into the canal."""
        if folder is not None:
            shutil.rmtree(folder)

    @rule(pick=st.integers(0, 1))
    def put_away(self, pick: int) -> None:
        """Away, and out again."""
        names = sorted(self.model)
        if len(names) > pick:
            name = names[pick]
            if name in self.archived:
                self.firm.reopen(name)
            else:
                self.firm.archive(name)
            self.archived ^= {name}

    @rule()
    def forget(self) -> None:
        """The name goes out of every version of every job."""
        if not set(self.model) - self.forgotten:
            return
        proof = forget(self.firm, "Pim Vardel")
        assert set(proof.marks) == set(self.model) - self.forgotten
        for name, mark in proof.marks.items():
            self.model[name] = [
                {
                    tuple(mark if step == "Pim Vardel" else step for step in key): (
                        mark if value == "Pim Vardel" else value
                    )
                    for key, value in version.items()
                }
                for version in self.model[name]
            ]
        self.forgotten |= set(self.model)

    @rule()
    def backup_and_restore(self) -> None:
        """The shelf goes on from its own backup as if nothing had been."""
        from farpress.record.backup import restore_backup, write_backup
        from farpress.record.shelf import open_shelf

        self.number += 1
        write_backup(self.firm.shelf.record, self.home / "firm.backup", by="me")
        self.firm.close()
        fresh = open_shelf(self.home / f"restored{self.number}.sqlite")
        restore_backup(self.home / "firm.backup", fresh.record, by="me")
        self.firm = Firm(fresh, self.firm.who)

    @invariant()
    def shelf_agrees_with_the_model(self) -> None:
        """Jobs, their states, every version, every note, and the chains."""
        if not hasattr(self, "firm"):
            return
        assert {entry.job for entry in self.firm.find()} == set(self.model) - self.archived
        assert {entry.job for entry in self.firm.find(archived=True)} == self.archived
        for name, versions in self.model.items():
            assert [_values(one.text) for one in self.firm.shelf.versions(name)] == versions
            assert all("# kept remark" in one.text for one in self.firm.shelf.versions(name))
            assert self.notes[name] == {
                note.says
                for _, note in happened(self.firm.shelf.record.events(job=name, kinds=("note",)), Note)
            }
        assert self.firm.shelf.record.breaches() == ()

    def _folder(self) -> Path:
        self.number += 1
        return self.home / f"folder{self.number}"

    def _now(self, folder: Path) -> dict[Any, Any]:
        return _values((folder / "job.yaml").read_text())


def _values(text: str) -> dict[Any, Any]:
    """A job file as a table of paths and plain values."""
    flat: dict[Any, Any] = {}

    def gather(path: tuple[str, ...], value: Any) -> None:
        if isinstance(value, dict):
            for key, inner in value.items():
                gather((*path, key), inner)
        else:
            flat[path] = str(value)

    gather((), values_of(text))
    return flat


TestShelf = ShelfMachine.TestCase
TestShelf.settings = settings(
    max_examples=8, stateful_step_count=12, deadline=None, suppress_health_check=list(HealthCheck)
)
