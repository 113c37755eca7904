"""Looking up names of a job, and the sentence where one is not there."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import Final, TypeAlias

from farpress.errors import Fault
from farpress.jobfile.allowed import Moved, original_path
from farpress.jobfile.names import did_you_mean, listed
from farpress.jobfile.node import Node, path_text, place_of
from farpress.jobfile.source import Source

__all__ = ["Known", "NamesThere", "Path"]

Path: TypeAlias = tuple[str | int, ...]

Known: TypeAlias = Mapping[str, Collection[str]]
"""Kind of part (and "build") → names in the catalogue; of receivers, where it is a mapping, name → how many
outputs it has."""

MOST_FAULTS: Final = 100
"""Wrong names listed at most; our choice: nobody mends more in one go."""

_A: Final = {
    "aerial": "an aerial",
    "output": "an output",
    "input": "an input",
    "output, device or panel": "an output, device or panel",
}


class NamesThere:
    """What there is in a job, and the faults found so far."""

    def __init__(self, tree: Node, source: Source, known: Known, moved: Moved) -> None:
        """Begin with the file and the names of the catalogue."""
        self.tree, self.source, self.known, self.moved = tree, source, known, moved
        self.faults: list[Fault] = []
        self._own: dict[str, list[str]] = {}
        self._keys: dict[tuple[str, ...], tuple[str, ...]] = {}
        for name in self.keys("parts"):
            kind = self.node("parts", name, "kind")
            self._own.setdefault(str(kind.data) if kind else "", []).append(name)

    def node(self, *path: str) -> Node | None:
        """The value at a path of the file."""
        node: Node | None = self.tree
        for key in path:
            node = node.child(key) if node is not None else None
        return node

    def keys(self, *path: str) -> tuple[str, ...]:
        """The keys of the table at a path, none where there is no table."""
        if path not in self._keys:
            node = self.node(*path)
            self._keys[path] = tuple(node.items) if node is not None else ()
        return self._keys[path]

    def texts(self, path: Path) -> Iterator[tuple[Path, str]]:
        """Every text at a path of the file, in the lists and tables there too."""
        node = self.node(*map(str, path))
        stack = [(path, node)] if node is not None else []
        while stack:
            here, node = stack.pop()
            if node.kind == "scalar":
                if node.data is not None and not isinstance(node.data, bool):
                    yield here, str(node.data)
            elif node.kind == "sequence":
                stack += [((*here, index), child) for index, child in enumerate(node.elements)]
            else:
                stack += [
                    ((*here, key), child)
                    for key, (_, _, child) in node.items.items()
                    if key in ("short", "long")
                ]

    def refuse(self, path: Path, says: str) -> None:
        """Add a fault at a path; after a hundred only their number is told."""
        path = original_path(path, self.moved)
        if len(self.faults) == MOST_FAULTS:
            says = "and more names that point nowhere. Mend those above first"
        if len(self.faults) <= MOST_FAULTS:
            self.faults.append(self.source.fault(*place_of(self.tree, path), path_text(path), says))

    def one_of(
        self,
        path: Path,
        name: str | None,
        names: Iterable[str],
        noun: str,
        whose: str = "",
        *,
        hint: str = "",
    ) -> bool:
        """Whether a name is among those there are (absent: yes); else a fault."""
        there = tuple(names)
        if name is None or name in there:
            return True
        a, of = _A.get(noun, f"a {noun}"), f" {whose}" if whose else ""
        if there:
            says = (
                f"'{name[:60]}' is not {a}{of}.{did_you_mean(name, there)} There is:"
                f" {listed(there, near=name)}"
            )
        else:
            says = f"'{name[:60]}' is not {a}{of}; none is described there yet"
        self.refuse(path, f"{says}.{f' {hint}' if hint else ''}")
        return False

    def part(self, path: Path, name: str | None, kind: str, *, own: bool = True) -> None:
        """A part of a kind, out of the catalogue or described in the job."""
        catalogue = self.known.get(kind, frozenset())
        there = [*(self._own.get(kind, []) if own else []), *sorted(catalogue)]
        if name is None or name in there:
            return
        other = next(
            (k for k, names in {**self.known, **self._own}.items() if name in names and k != kind), None
        )
        described = self.node("parts", name)
        if own and described is not None and other not in self.known:
            return  # its kind is missing or wrong, which is told at the part itself
        hint = f"'{name}' is a part of another kind: {other}." if other else ""
        if not other and own:
            hint = "A part of your own is described under 'parts', from its data sheet."
        self.one_of(path, name, there, f"{kind}{'' if own else ' of the catalogue'}", hint=hint)

    def build(self, path: Path, name: str | None) -> None:
        """How a wall, slab or opening is built."""
        self.one_of(
            path,
            name,
            sorted(self.known.get("build", frozenset())),
            "build of the catalogue",
            hint="A measured loss can be given with 'loss', beside the closest build.",
        )

    def level(self, path: Path, name: str | None, premises: str) -> None:
        """A level of the premises."""
        self.one_of(path, name, self.keys("premises", premises, "levels"), "level", f"of {premises}")

    def supply(self, path: Path, name: str | None, premises: str) -> bool:
        """A supply of the premises; whether there is such a one."""
        return self.one_of(
            path, name, self.keys("premises", premises, "supplies"), "supply", f"of {premises}"
        )

    def panel_output(self, path: Path, name: str, premises: str) -> None:
        """The name `panel.output` of the same premises; every panel has an auxiliary output, `panel.aux`."""
        if name.partition(".")[2] != "aux":
            self._at_device(path, name, premises, "outputs", "output")

    def input_of(self, path: Path, works: str | None, premises: str) -> None:
        """The name `device.input` or `panel.input` of the same premises."""
        self._at_device(path, works, premises, "inputs", "input")

    def input_wished(self, path: Path, text: str) -> None:
        """The name `device.input` that one premises has, or `premises/device.input`."""
        premises, _, works = text.rpartition("/")
        if premises:
            if self.one_of(path, premises, self.keys("premises"), "premises"):
                self.input_of(path, works, premises)
            return
        there = self.premises_with(text)
        if len(there) == 1 or len(self.keys("premises")) == 1:
            self.input_of(path, works, (*there, *self.keys("premises"))[0])
        else:
            which = f"{listed(there)} have it" if there else "no premises has a device or panel of that name"
            self.refuse(path, f"'{text[:60]}': {which}; write 'premises/device.input'.")

    def premises_with(self, works: str) -> tuple[str, ...]:
        """Premises that `device.input` or `premises/device.input` can mean, by the name of its device."""
        premises, _, rest = works.rpartition("/")
        device = rest.partition(".")[0]
        return tuple(
            name
            for name in self.keys("premises")
            if premises in ("", name)
            and device in (*self.keys("premises", name, "devices"), *self.keys("premises", name, "panels"))
        )

    def output_read(self, path: Path, reads: str, premises: str) -> None:
        """The name `panel.output` or `device.contact` of the same premises."""
        self._at_device(path, reads, premises, "outputs", "output")

    def _at_device(self, path: Path, text: str | None, premises: str, room: str, noun: str) -> None:
        if text is None:
            return
        name, _, pin = text.partition(".")
        devices, panels = (
            self.keys("premises", premises, "devices"),
            self.keys("premises", premises, "panels"),
        )
        if "/" in name:
            self.refuse(
                path,
                f"'{text[:60]}': write '{noun if noun == 'output' else 'device'}.{noun}' of the same"
                f" premises, as '{(*devices, *panels, 'gate')[0]}.open'",
            )
            return
        if not self.one_of(path, name, (*devices, *panels), "device or panel", f"of {premises}"):
            return
        kind = "devices" if name in devices else "panels"
        if pin and not (kind == "devices" and room == "outputs"):
            pins = self._pins(premises, kind, name, room)
            if pins is not None and pin not in pins:
                near = did_you_mean(pin, pins)
                self.refuse(
                    path, f"'{name}' has no {noun} '{pin[:60]}'.{near} It has: {listed(pins, near=pin)}."
                )

    def _pins(self, premises: str, kind: str, name: str, room: str) -> tuple[str, ...] | None:
        """Inputs or outputs as far as the job describes them; None where the catalogue must be asked, or
        nothing is known.
        """
        here = self.keys("premises", premises, kind, name, room)
        part = self.node("premises", premises, kind, name, "part")
        if part is None or part.data is None:
            return here or None
        own = self.node("parts", str(part.data))
        if own is None or own.child("like") is not None:
            return None
        return (*here, *self.keys("parts", str(part.data), room)) or None

    def output(self, path: Path, name: str | None) -> None:
        """The name `premises/receiver/output`."""
        if name is None:
            return
        keys = name.split("/")
        if len(keys) != 3:
            every = [
                f"{p}/{r}/{n}"
                for p in self.keys("premises")
                for r in self.keys("premises", p, "receivers")
                for n in self.outputs(p, r)
            ]
            meant = [full for full in every if full.endswith(f"/{name}") or full.split("/", 1)[1] == name]
            hint = f" Did you mean '{meant[0]}'?" if len(meant) == 1 else ""
            self.refuse(
                path,
                f"'{name[:60]}': an output is written 'premises/receiver/output', as"
                f" '{(*every, 'house/R1/1')[0]}'.{hint}",
            )
            return
        premises, receiver, number = keys
        if self.receiver(path, f"{premises}/{receiver}"):
            self.one_of(path, number, self.outputs(premises, receiver), "output", f"of {premises}/{receiver}")

    def outputs(self, premises: str, receiver: str) -> tuple[str, ...]:
        """The output numbers of a receiver."""
        return self.keys("premises", premises, "receivers", receiver, "outputs")

    def output_there(self, path: Path, premises: str, receiver: str, number: str) -> None:
        """Whether a receiver has an output of this number, where its part says how many it has."""
        count, origin = self._output_count(premises, receiver)
        if count is None or number in map(str, range(1, count + 1)):
            return
        has = "one output, 1" if count == 1 else f"{count} outputs, 1 to {count}"
        self.refuse(
            path,
            f"there is no output '{number[:60]}' on {receiver}: {origin} it has {has}. Use one of these, add"
            " a receiver, or choose a part with more outputs ('relays' says how many a receiver of your own"
            " has)",
        )

    def _output_count(self, premises: str, receiver: str) -> tuple[int | None, str]:
        """How many outputs a receiver has, and who says so; None where nobody does."""
        here = ("premises", premises, "receivers", receiver)
        origin, node = "'relays' says", self.node(*here, "relays")
        part, catalogue = self.node(*here, "part"), self.known.get("receiver", ())
        name = str(part.data) if part is not None else ""
        passed: set[str] = set()
        while node is None and name in self._own.get("receiver", ()) and name not in passed:
            passed.add(name)
            origin, node = f"'{name}' under 'parts' says", self.node("parts", name, "relays")
            like = self.node("parts", name, "like")
            name = str(like.data) if like is not None else ""
        if node is not None:
            return (node.data, origin) if isinstance(node.data, int) else (None, "")
        count = catalogue.get(name) if isinstance(catalogue, Mapping) else None
        return count, f"by the catalogue '{name}' says"

    def things_and_places(self) -> tuple[list[str], list[str]]:
        """What a rule may name: devices, panels, areas, gate locks, receivers and outputs; and the places."""
        things, places = [], []
        for premises in self.keys("premises"):
            for room in ("devices", "panels", "receivers"):
                for name in self.keys("premises", premises, room):
                    things += [name, f"{premises}/{name}"]
            of_panels = [
                f"{panel}.{area}"
                for panel in self.keys("premises", premises, "panels")
                for area in self.keys("premises", premises, "panels", panel, "areas")
            ]
            for name in (*of_panels, *self.keys("premises", premises, "gate_locks")):
                things += [name, f"{premises}/{name}"]
            for receiver in self.keys("premises", premises, "receivers"):
                things += [f"{premises}/{receiver}/{number}" for number in self.outputs(premises, receiver)]
            for name in self.keys("premises", premises, "places"):
                places += [name, f"{premises}/{name}"]
        return things, places

    def receiver(self, path: Path, name: str) -> bool:
        """The name `premises/receiver`; whether there is such a receiver."""
        keys = name.split("/")
        every = [f"{p}/{r}" for p in self.keys("premises") for r in self.keys("premises", p, "receivers")]
        if len(keys) != 2:
            meant = [full for full in every if full.split("/", 1)[1] == name]
            hint = f" Did you mean '{meant[0]}'?" if len(meant) == 1 else ""
            self.refuse(
                path,
                f"'{name[:60]}': a receiver is written 'premises/receiver', as"
                f" '{(*every, 'house/R1')[0]}'.{hint}",
            )
            return False
        if not self.one_of(path, keys[0], self.keys("premises"), "premises"):
            return False
        return self.one_of(
            path, keys[1], self.keys("premises", keys[0], "receivers"), "receiver", f"of {keys[0]}"
        )

    def place(self, path: Path, name: str, seen_from: Iterable[str]) -> None:
        """The name `place` of one of the premises it is seen from, or `premises/place`."""
        premises_names = tuple(dict.fromkeys(seen_from))
        if "/" in name:
            premises, _, place = name.partition("/")
            if self.one_of(path, premises, self.keys("premises"), "premises"):
                self.one_of(path, place, self.keys("premises", premises, "places"), "place", f"of {premises}")
            return
        there = [place for premises in premises_names for place in self.keys("premises", premises, "places")]
        other = [
            f"{p}/{name}"
            for p in self.keys("premises")
            if p not in premises_names and name in self.keys("premises", p, "places")
        ]
        hint = f"At other premises it is written '{other[0]}'." if other else ""
        whose = f"of {' or '.join(premises_names[:3])}" if premises_names else ""
        self.one_of(path, name, there, "place", whose, hint=hint)

    def plain_name(self, path: Path, name: str, *, dots: bool = True) -> None:
        """A name that may stand in a path: no slash, and no dot where "device.input" is written."""
        wrong = next((sign for sign in ("/", "\\") + (() if dots else (".",)) if sign in name), None)
        if wrong or name in (".", "..") or name != name.strip():
            sign = f"'{wrong}'" if wrong else "only dots, or spaces at its ends"
            self.refuse(
                path,
                f"the name '{name[:60]}' has {sign}, which separates names in 'premises/receiver/output' or"
                " 'device.input'. Use another name",
            )
