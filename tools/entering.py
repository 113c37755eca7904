"""Somebody who enters a job at the desk by what can be seen: labels, headings, buttons. Clicks and fields are
counted.

What is equal in entries of one kind is entered once: equal entries are added together, and a field that
all have alike is set for all of them at once.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from playwright.sync_api import Locator, Page, expect

from farpress.desk.field_words import words_for
from farpress.desk.form_schema import Path, value_at
from farpress.desk.forms import FormField, fields_of
from farpress.desk.pages.tasks import placed_field
from farpress.desk.task_pages import INLINE, TASKS, asked_first, singular
from farpress.domain.job import Job

ALIKE = 3
"""From so many entries on a field that all have alike is set together."""


@dataclass
class Clerk:
    """Enters a job.

    Attributes:
        page: of the desk.
        values, job: what is to be entered.
        known: names of the catalogue.
        clicks, fields: counted.
        letters: typed.
        tables, cells: entered as tables, each counted as one field, and what stands in them.
    """

    page: Page
    values: Any
    job: Job
    known: Mapping[str, Any]
    clicks: int = 0
    fields: int = 0
    letters: int = 0
    tables: int = 0
    cells: int = 0

    def enter(self, order: tuple[str, ...]) -> None:
        """Enter everything, task by task."""
        tasks = {task.name: task for task in TASKS}
        for name in order:
            self.click(self.page.get_by_role("link", name=tasks[name].title, exact=True).first)
            expect(self.page.get_by_role("heading", level=1, name=tasks[name].title)).to_be_visible()
            for table in tasks[name].tables:
                if table.startswith("*."):
                    for premises in self.values["premises"]:
                        self.table(("premises", premises, table[2:]))
                else:
                    self.table((table,))

    def table(self, path: Path, around: str = "") -> None:
        """Enter all entries of a table."""
        value = value_at(self.values, path)
        if not value:
            return
        if isinstance(value, dict) and not all(isinstance(member, dict) for member in value.values()):
            self.block(path, self.region(path), {})
            return
        keys: list[Any] = list(value) if isinstance(value, dict) else list(range(len(value)))
        wanted = {key: self.wanted((*path, key)) for key in keys}
        there = str(path[-1]) == "premises"
        if not there:
            keys = self.sheets(path, value, wanted, around)
        alike = {} if len(keys) < len(wanted) else self.alike(wanted, str(path[-1]))
        while keys:
            same = (
                [key for key in keys if wanted[key] == wanted[keys[0]]]
                if isinstance(value, dict)
                else keys[:1]
            )
            keys = [key for key in keys if key not in same]
            if not there:
                self.add(path, same, wanted[same[0]], alike, around)
            for key in same:
                self.block((*path, key), self.region((*path, key)), {} if there else alike)
                for inner in INLINE.get(str(path[-1]), ()):
                    self.table((*path, key, inner), str(path[-1]))
        if alike:
            regions = [self.region((*path, key)) for key in wanted]
            for region in regions:
                self.click(region.get_by_label("together").first)
            self.block((*path, next(iter(wanted))), regions[0], {}, only=set(alike))

    def sheets(
        self, path: Path, value: Any, wanted: Mapping[Any, Mapping[str, FormField]], around: str
    ) -> list[Any]:
        """Enter what there is several of as tables, parts by their kind; what is left for the forms."""
        groups: dict[str, list[Any]] = {}
        for key in wanted:
            groups.setdefault(str(value[key].get("kind")) if path == ("parts",) else "", []).append(key)
        left = []
        for kind, keys in groups.items():
            equal = isinstance(value, dict) and all(wanted[key] == wanted[keys[0]] for key in keys)
            if len(keys) < 2 or equal:
                left += keys
                continue
            self.sheet(path, {key: wanted[key] for key in keys}, kind, around)
            for key in keys:
                for inner in INLINE.get(str(path[-1]), ()):
                    self.table((*path, key, inner), str(path[-1]))
        return left

    def sheet(self, path: Path, rows: Mapping[Any, Mapping[str, FormField]], kind: str, around: str) -> None:
        """Enter several entries as one table."""
        heads: dict[str, str] = {}
        for row in rows.values():
            for name, one in row.items():
                if name != "kind" or not kind:
                    heads.setdefault(name, name if one.label in heads.values() else one.label)
        is_named = isinstance(next(iter(rows)), str)
        lines = [[*(["name"] if is_named else []), *(["kind of part"] if kind else []), *heads.values()]]
        for key, row in rows.items():
            cells = [row[name].value if name in row else "" for name in heads]
            lines.append([*([key] if is_named else []), *([kind] if kind else []), *cells])
        self.tables += 1
        self.cells += sum(bool(cell) for line in lines[1:] for cell in line)
        of = self.region(path[:-1]) if around else self.page.locator("main")
        title = words_for(str(path[-1])).label
        several = re.compile(rf"^Add several {re.escape(title)}", re.IGNORECASE)
        summary = of.locator("summary", has_text=several).last
        box = summary.locator("xpath=..")
        self.click(summary)
        self.type(box.get_by_label(re.compile("^A line for each")), "\n".join(" | ".join(x) for x in lines))
        with self.page.expect_response(lambda answer: answer.url.endswith("/entry/table")) as answer:
            self.click(box.get_by_role("button", name=re.compile("^Add all")))
        if not answer.value.ok:
            raise AssertionError(answer.value.json()["says"])
        expect(box.get_by_label(re.compile("^A line for each"))).to_have_value("")
        if is_named:
            expect(self.region((*path, list(rows)[-1]))).to_be_visible()

    def wanted(self, path: Path) -> dict[str, FormField]:
        """The fields of an entry that have a value."""
        found = fields_of(path, self.values, self.job, self.known)
        return {one.name: placed_field(one) for one in found if one.value}

    def alike(self, wanted: Mapping[Any, Mapping[str, FormField]], table: str) -> dict[str, str]:
        """Fields that all entries have with one value."""
        if len(wanted) < ALIKE or table == "parts":
            return {}
        first = next(iter(wanted.values()))
        return {
            name: one.value
            for name, one in first.items()
            if not one.required
            and "/" not in name
            and all(name in other and other[name].value == one.value for other in wanted.values())
        }

    def add(
        self,
        path: Path,
        names: list[Any],
        wanted: Mapping[str, FormField],
        alike: Mapping[str, str],
        around: str,
    ) -> None:
        """Add an entry, or several equal ones, with what is asked first."""
        one = singular(str(path[-1]))
        of = self.region(path[:-1]) if around else self.page.locator("main")
        summary = of.locator("summary", has_text=re.compile(rf"^Add an? {re.escape(one)}\b")).last
        box = summary.locator("xpath=..")
        if box.get_attribute("open") is None:
            self.click(summary)
        if isinstance(names[0], str):
            label = "Number" if path[-1] in ("outputs", "inputs") and "receivers" in path else "Name"
            self.type(box.get_by_label(re.compile(f"^{label}")), "; ".join(names))
        kind = value_at(self.values, (*path, names[0], "kind")) if path == ("parts",) else None
        if kind:
            self.choose(box.get_by_label("Kind of part"), kind)
        for name in asked_first(str(path[-1]), around):
            if name in wanted and name not in alike:
                self.put(box, wanted[name])
        for name, one_field in wanted.items():
            if kind and name == "kind":
                continue
            if one_field.kind == "pressed" or (
                one_field.required and name not in asked_first(str(path[-1]), around)
            ):
                self.put(box, one_field)
        self.click(box.get_by_role("button", name=re.compile("^Add")))
        expect(self.region((*path, names[-1]))).to_be_visible()

    def block(
        self, path: Path, region: Locator, alike: Mapping[str, str], *, only: set[str] | None = None
    ) -> None:
        """Set the fields of an entry that differ from what stands there; those not shown in the drawer."""
        form = region.locator("xpath=./form")
        hidden = []
        for name, one in self.wanted(path).items():
            if (
                name in alike
                or (only is not None and name not in only)
                or (path[:1] == ("parts",) and name == "kind")
            ):
                continue
            part = form.locator(f"[name='{name}']")
            if not part.count():
                hidden.append(one)
            elif part.input_value() != one.value:
                with self.page.expect_response(lambda answer: answer.url.endswith("/entry")):
                    self.put(form, one)
                    part.press("Tab")
        expect(form.locator(".fault:not(:empty)")).to_have_count(0)
        if hidden:
            self.drawer(region, hidden)

    def drawer(self, region: Locator, hidden: list[FormField]) -> None:
        """Set fields that are one step away."""
        self.click(region.get_by_role("button", name=re.compile("^All .* fields")).first)
        dialog = self.page.get_by_role("dialog")
        expect(dialog.get_by_role("button", name="Save")).to_be_visible()
        for one in hidden:
            part = dialog.locator(f"[name='{one.name}']")
            around = part.locator("xpath=ancestor::details[1]")
            if around.count() and around.get_attribute("open") is None:
                self.click(around.locator("summary").first)
            self.put(dialog, one, plain=True)
        self.click(dialog.get_by_role("button", name="Save"))
        expect(dialog).to_be_hidden()
        self.page.wait_for_timeout(200)

    def region(self, path: Path) -> Locator:
        """The block of an entry, by its heading."""
        name = str(path[-1] + 1) if isinstance(path[-1], int) else str(path[-1])
        title = (
            f"{singular(str(path[-2])).capitalize()} {name}" if len(path) > 1 else singular(name).capitalize()
        )
        if len(path) == 1:
            return self.page.locator("section.entry", has=self.page.get_by_role("heading", name=title)).first
        found = self.page.get_by_role("region", name=re.compile(rf"^{re.escape(title)}(,.*)?$"))
        if len(path) > 4:
            return self.region(path[:-2]).get_by_role("region", name=re.compile(rf"^{re.escape(title)}$"))
        return found

    def put(self, where: Locator, one: FormField, *, plain: bool = False) -> None:
        """Type into a field or choose from it, found by its label."""
        label = one.label if plain else f"{one.label[:1].upper()}{one.label[1:]}"
        part = where.get_by_label(re.compile(rf"^{re.escape(label)}( \(needed\))?$")).and_(
            where.locator(f"[name='{one.name}']")
        )
        if one.kind == "choice":
            self.choose(part, one.value)
        else:
            self.type(part, one.value)

    def choose(self, part: Locator, value: str) -> None:
        """One click."""
        part.select_option(value)
        self.clicks += 1

    def type(self, part: Locator, value: str) -> None:
        """One field."""
        part.fill(value)
        self.fields += 1
        self.letters += len(value)

    def click(self, part: Locator) -> None:
        """One click."""
        part.click()
        self.clicks += 1
