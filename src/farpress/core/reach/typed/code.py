"""Loops that are written as plain Python, with every argument annotated, as machine code.

The same functions run as they stand and compiled, and give the same numbers. They are read as text,
written in the assembly language of LLVM, made fast all together, and loaded. Nothing is known here of what
they compute. What may stand in them: numbers, groups, rows and lists (`kinds`), assignments,
conditions, loops, calls of each other and of some functions of `math`. Indices are not checked: plain runs
do that.
"""

from __future__ import annotations

import ast
import ctypes
import functools
import inspect
import types
import typing
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, Final

from farpress.core.reach.typed.kinds import BOOL, FLOAT, INT, GroupKind, Kind, Kinds, ListKind, RowKind
from farpress.core.reach.typed.rows import Loops
from farpress.core.reach.typed.values import INTRINSICS
from farpress.core.reach.typed.writer import LoopWriter
from farpress.sources import Mark, cites

__all__ = ["MachineLoops", "built", "loaded", "made_for", "written"]


class MachineLoops:
    """Functions in machine code; they are there as long as this is."""

    def __init__(self, engine: Any, entries: Mapping[str, Sequence[Kind]]) -> None:
        """Take an engine that holds compiled code, and what its entries are handed."""
        self._engine = engine
        self._flats: dict[int, tuple[Any, list[Any]]] = {}
        self._entries = {
            name: (
                tuple(kinds),
                ctypes.CFUNCTYPE(None, *(_C_TYPES[flat] for kind in kinds for flat in _flat(kind)))(
                    int(engine.get_function_address(name))
                ),
            )
            for name, kinds in entries.items()
        }

    def call(self, name: str, *arguments: Any) -> None:
        """Run an entry; arrays are handed over where they lie, and other threads go on."""
        kinds, entry = self._entries[name]
        flats: list[Any] = []
        for kind, given in zip(kinds, arguments, strict=True):
            self._hand(kind, given, flats)
        entry(*flats)

    def _hand(self, kind: Kind, given: Any, flats: list[Any]) -> None:
        """Add what is handed over; of a group of nothing but arrays it is known from the call before."""
        if not isinstance(kind, GroupKind):
            _add_handed(kind, given, flats)
            return
        if not all(isinstance(part, ListKind) for part in kind.kinds):
            for part, value in zip(kind.kinds, given, strict=True):
                self._hand(part, value, flats)
            return
        known = self._flats.get(id(given))
        if known is None or known[0] is not given:
            if len(self._flats) >= _GROUPS_KNOWN:
                self._flats.clear()
            own: list[Any] = []
            for part, value in zip(kind.kinds, given, strict=True):
                _add_handed(part, value, own)
            known = self._flats[id(given)] = given, own  # a group that is held keeps its id
        flats += known[1]


_GROUPS_KNOWN: Final = 64
"""So many groups of arrays are held with where they lie; our choice."""

_C_TYPES: Final[Mapping[str, Any]] = {
    "double": ctypes.c_double,
    "i64": ctypes.c_int64,
    "ptr": ctypes.c_void_p,
}


def _flat(kind: Kind) -> Iterator[str]:
    """The single values that a kind is handed over as."""
    if isinstance(kind, GroupKind):
        for part in kind.kinds:
            yield from _flat(part)
    elif isinstance(kind, ListKind):
        yield from ("ptr", "i64")
    else:
        yield "i64" if kind == BOOL else kind.text


def _add_handed(kind: Kind, given: Any, flats: list[Any]) -> None:
    """Add a single value, or where a list lies and how long it is."""
    if isinstance(kind, ListKind):
        size = kind.item.size if isinstance(kind.item, RowKind) else 8
        if not given.flags.c_contiguous or given.ndim != 1 or given.itemsize != size:
            raise TypeError(
                f"an array of {given.dtype} where entries of {size} bytes one after another are meant"
            )
        flats += (given.ctypes.data, len(given))
    else:
        flats.append(float(given) if kind == FLOAT else int(given))


class _Found(Loops):
    """The functions of some modules, and what they are made of."""

    def __init__(self, modules: Sequence[types.ModuleType], kinds: Kinds) -> None:
        self.kinds = kinds
        self._modules = {module.__name__: module for module in modules}
        self._signatures: dict[str, tuple[tuple[str, ...], tuple[Kind, ...], Kind]] = {}

    def name_of(self, function: Callable[..., Any]) -> str:
        """What a function is called in machine code; empty for one from elsewhere."""
        if not isinstance(function, types.FunctionType) or function.__module__ not in self._modules:
            return ""
        return f"{function.__module__.rpartition('.')[2]}.{function.__name__}"

    def signature(self, function: Callable[..., Any]) -> tuple[tuple[str, ...], tuple[Kind, ...], Kind]:
        """Names and kinds of the arguments of a function, and the kind of what it gives."""
        name = self.name_of(function)
        if name not in self._signatures:
            hints = typing.get_type_hints(function)
            names = tuple(inspect.signature(function).parameters)
            kinds = tuple(self.kinds.of(hints[argument]) for argument in names)
            self._signatures[name] = names, kinds, self.kinds.of(hints["return"])
        return self._signatures[name]

    def body(self, function: Callable[..., Any]) -> list[ast.stmt]:
        """The statements of a function."""
        return _functions(self._modules[function.__module__])[function.__name__].body


@functools.cache
def _functions(module: types.ModuleType) -> dict[str, ast.FunctionDef]:
    tree = ast.parse(inspect.getsource(module))
    return {node.name: node for node in tree.body if isinstance(node, ast.FunctionDef)}


@cites("LLVM Language Reference Manual", place="instructions, type-based alias analysis", mark=Mark.MEMORY)
def written(
    *,
    entries: Mapping[str, Callable[..., None]],
    modules: Sequence[types.ModuleType],
    rows: Mapping[type[Any], Any],
) -> tuple[str, dict[str, Sequence[Kind]]]:
    """Some loops and all they call in the assembly language of LLVM, and what each is handed.

    Args:
        entries: name in machine code → the loop.
        modules: where they and all functions they call stand.
        rows: classes whose values lie in arrays → the layout of their rows.

    Raises:
        TypeError: something that may not stand in a loop, and where.
    """
    found = _Found(modules, Kinds(rows))
    texts, waiting, known = [], list(entries.values()), set(entries.values())
    tags: dict[str, int] = {}
    while waiting:
        function = waiting.pop()
        writer = LoopWriter(found, function, tags)
        texts.append(writer.whole(found.body(function)))
        for called in writer.called:
            if called not in known:
                known.add(called)
                waiting.append(called)
    handed: dict[str, Sequence[Kind]] = {}
    for name, function in entries.items():
        _, handed[name], _ = found.signature(function)
        texts.append(_entry(name, found.name_of(function), handed[name]))
    meta = ['!0 = !{!"loops"}']
    for tag, number in tags.items():
        meta += [f'!{number} = !{{!"{tag}", !0}}', f"!{number + 1} = !{{!{number}, !{number}, i64 0}}"]
    return "\n".join((*INTRINSICS, *texts, *meta)), handed


def _entry(name: str, inner: str, kinds: Sequence[Kind]) -> str:
    """A function that is called from outside, with single values for arguments."""
    rows: list[str] = []
    flats: list[str] = []

    def gathered(kind: Kind) -> str:
        if isinstance(kind, GroupKind):
            parts = [(part, gathered(part)) for part in kind.kinds]
        elif isinstance(kind, ListKind):
            parts = [(Kind("ptr"), gathered(Kind("ptr"))), (INT, gathered(INT))]
        else:
            flats.append(f"{'i64' if kind == BOOL else kind.text} %a{len(flats)}")
            value = f"%a{len(flats) - 1}"
            if kind == BOOL:
                rows.append(f"%b{len(rows)} = trunc i64 {value} to i1")
                return f"%b{len(rows) - 1}"
            return value
        whole = "poison"
        for number, (part, value) in enumerate(parts):
            rows.append(f"%b{len(rows)} = insertvalue {kind.text} {whole}, {part.text} {value}, {number}")
            whole = f"%b{len(rows) - 1}"
        return whole

    handed = ", ".join(f"{kind.text} {gathered(kind)}" for kind in kinds)
    body = "\n".join((*rows, f'call void @"{inner}"({handed})', "ret void"))
    return f'define void @"{name}"({", ".join(flats)}) {{\n{body}\n}}'


@functools.cache
def _target_machine() -> Any:
    from llvmlite import binding  # loaded with the first map alone

    binding.initialize_native_target()
    binding.initialize_native_asmprinter()
    cpu, features = _processor()
    target = binding.Target.from_default_triple()
    return target.create_target_machine(cpu=cpu, features=features, opt=3, jit=True)


@cites("LLVM Language Reference Manual", place="targets", mark=Mark.MEMORY)
def made_for() -> str:
    """What an object of machine code is made by and for: no other processor may be given it."""
    import llvmlite

    target = _target_machine()
    return f"{llvmlite.__version__} {target.triple} {_processor()}"


def _processor() -> tuple[str, str]:
    from llvmlite import binding  # as below

    return str(binding.get_host_cpu_name()), str(binding.get_host_cpu_features().flatten())


@cites("LLVM Language Reference Manual", place="optimisation pipeline", mark=Mark.MEMORY)
def built(text: str) -> bytes:
    """Assembly language as an object of machine code for this computer."""
    from llvmlite import binding  # as above

    target = _target_machine()
    module = binding.parse_assembly(text)
    module.triple = target.triple
    module.data_layout = str(target.target_data)
    tuning = binding.create_pipeline_tuning_options(speed_level=3)
    tuning.loop_vectorization = tuning.slp_vectorization = False  # nothing here is in rows of four
    builder = binding.create_pass_builder(target, tuning)
    builder.getModulePassManager().run(module, builder)
    return bytes(target.emit_object(module))


@cites("LLVM Language Reference Manual", place="objects", mark=Mark.MEMORY)
def loaded(code: bytes, entries: Mapping[str, Sequence[Kind]]) -> MachineLoops:
    """An object of machine code, ready to be called.

    Args:
        code: from `built`, on this computer.
        entries: what each entry is handed, from `written`.
    """
    from llvmlite import binding  # as above

    _target_machine()
    target = binding.Target.from_default_triple().create_target_machine(opt=3, jit=True)
    engine = binding.create_mcjit_compiler(binding.parse_assembly(""), target)
    engine.add_object_file(binding.ObjectFileRef.from_data(code))
    engine.finalize_object()
    return MachineLoops(engine, entries)
