"""Statements of a model as machine code of the computer it runs on.

A network is written in the assembly language of LLVM, checked, made fast and loaded; so is the search
itself (`kernel`), which needs a little more than a model: arrays, loops and calls. Every value is a whole
number of 64 bits. Nothing here searches: that is `search`.
"""

from __future__ import annotations

import ast
import ctypes
import functools
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from farpress.core.rehearsal.assembly import POINTERS, FunctionWriter
from farpress.core.rehearsal.ready import Network
from farpress.core.rehearsal.wording import ModelError, written_by
from farpress.sources import Mark, cites

__all__ = ["BITS", "Machine", "PackedState", "fits", "make_machine", "packing"]

BITS: Final = 62
"""Bits that the packed state of a model has room for."""


@dataclass(frozen=True)
class PackedState:
    """Places of the variables in a packed state.

    Attributes:
        shifts, widths: in bits, one for each variable.
        start: the packed state at the beginning.
    """

    shifts: tuple[int, ...]
    widths: tuple[int, ...]
    start: int


@cites("bit fields", mark=Mark.COMPUTED)
def fits(network: Network) -> bool:
    """Whether a state of a network fits into one whole number."""
    return sum(_widths(network)) <= BITS


def _widths(network: Network) -> tuple[int, ...]:
    return tuple(max(high, 1).bit_length() for high in network.highs)


@cites("bit fields", mark=Mark.COMPUTED)
def packing(network: Network) -> PackedState:
    """Where each variable of a network stands in one whole number.

    Raises:
        ModelError: a state does not fit.
    """
    widths = _widths(network)
    if sum(widths) > BITS:
        raise ModelError(
            f"A state takes {sum(widths)} bits; the kernel holds {BITS}. Search fewer things together."
        )
    shifts = tuple(sum(widths[:index]) for index in range(len(widths)))
    start = sum(value << shift for value, shift in zip(network.starts, shifts, strict=True))
    return PackedState(shifts, widths, start)


class Machine:
    """Functions in machine code; they are there as long as this is."""

    def __init__(self, engine: Any, kinds: Mapping[str, tuple[str, ...]]) -> None:
        """Take an engine that holds compiled code.

        Args:
            engine: it.
            kinds: name of a function → kinds of its arguments.
        """
        self._engine = engine
        self._functions = {
            name: ctypes.CFUNCTYPE(ctypes.c_int64, *(_c_type(kind) for kind in arguments))(self.address(name))
            for name, arguments in kinds.items()
        }

    def address(self, name: str) -> int:
        """Where a function begins, to be handed to another one that calls it."""
        return int(self._engine.get_function_address(name))

    def call(self, name: str, *arguments: Any) -> int:
        """What a function gives; arrays are handed over where they lie, and other threads go on."""
        handed = (given.ctypes.data if hasattr(given, "ctypes") else int(given) for given in arguments)
        return int(self._functions[name](*handed))


def _c_type(kind: str) -> Any:
    return ctypes.c_void_p if kind in POINTERS else ctypes.c_int64


@cites("LLVM Language Reference Manual", place="instructions; optimisation pipeline", mark=Mark.MEMORY)
def make_machine(program: str, network: Network | None = None, *, soon: bool = False) -> Machine:
    """Functions in the small language, compiled together.

    Args:
        program: the functions.
        network: a model whose events one of them lets happen, by `happen(state, event, found)`: the packed
            state after an event comes into `found[0]`, the bad conditions that hold into `found[1]`, one bit
            each; it gives 0 if the event cannot happen, 2 if a variable left its range, else 1.
        soon: compiled in a third of the time, and half as fast.

    Raises:
        ModelError: a state does not fit.
    """
    texts, kinds = [_HEAD], {}
    if network is not None:
        texts.append(_events_text(network))
    for node in ast.parse(program).body:
        assert isinstance(node, ast.FunctionDef)
        own = {argument.arg: _kind(argument) for argument in node.args.args}
        writer = FunctionWriter(own)
        for statement in node.body:
            writer.statement(statement)
        texts.append(writer.function(node.name, tuple(own)))
        kinds[node.name] = tuple(own.values())
    return Machine(_compiled("\n".join(texts), soon=soon), kinds)


def _kind(argument: ast.arg) -> str:
    return argument.annotation.id if isinstance(argument.annotation, ast.Name) else "int"


_HEAD: Final = """declare void @llvm.prefetch.p0(ptr, i32, i32, i32)"""


def _events_text(network: Network) -> str:
    """The function `happen`, see `make_machine`."""
    packed = packing(network)
    writer = FunctionWriter({"_state": "int", "_event": "int", "_found": "words"}, network.numbers)
    written = written_by(
        (*(statement for event in network.events for statement in event.does), *network.settling)
    )
    fields = list(zip(network.variables, packed.shifts, packed.widths, network.highs, strict=True))
    for name, shift, width, _ in fields:
        writer.set(
            name, writer.value("and", writer.value("lshr", writer.get("_state"), shift), (1 << width) - 1)
        )
    for name in network.passing:
        writer.set(name, "0")
    labels = [writer.label() for _ in network.events]
    settled, never = writer.label(), writer.label()
    cases = " ".join(f"i64 {number}, label %{label}" for number, label in enumerate(labels))
    writer.rows.append(f"switch i64 {writer.get('_event')}, label %{never} [{cases}]")
    for event, label in zip(network.events, labels, strict=True):
        writer.begin(label)
        then = writer.label()
        writer.branch(writer.truth(event.when), then, never)
        writer.begin(then)
        for statement in event.does:
            writer.statement(statement)
        writer.jump(settled)
    writer.begin(never)
    writer.rows.append("ret i64 0")
    writer.begin(settled)
    for statement in network.settling:
        writer.statement(statement)
    outside, after, kept = "0", "0", 0
    for name, shift, width, high in fields:
        if name not in written:
            kept |= ((1 << width) - 1) << shift
            continue
        value = writer.get(name)
        outside = writer.value("or", outside, writer.flag("ugt", value, high))
        after = writer.value("or", after, writer.value("shl", value, shift))
    after = writer.value("or", after, writer.value("and", writer.get("_state"), kept))
    bad = "0"
    for bit, tree in enumerate(network.bad.values()):
        holds = writer.row(f"zext i1 {writer.truth(tree)} to i64")
        bad = writer.value("or", bad, writer.value("shl", holds, bit))
    writer.store("_found", "0", after)
    writer.store("_found", "1", bad)
    writer.rows.append(f"ret i64 {writer.value('add', outside, 1)}")
    return writer.function("happen", ("_state", "_event", "_found"), inner=True)


@functools.cache
def _target() -> Any:
    from llvmlite import binding  # loaded with the first large search alone

    binding.initialize_native_target()
    binding.initialize_native_asmprinter()
    return binding.Target.from_default_triple()


def _compiled(text: str, *, soon: bool) -> Any:
    from llvmlite import binding  # as above

    target = _target().create_target_machine(
        cpu=binding.get_host_cpu_name(),
        features=binding.get_host_cpu_features().flatten(),
        opt=0 if soon else 2,
    )
    module = binding.parse_assembly(text)
    module.triple = target.triple
    module.data_layout = str(target.target_data)
    builder = binding.create_pass_builder(target, binding.create_pipeline_tuning_options(speed_level=2))
    passes = binding.create_new_module_pass_manager() if soon else builder.getModulePassManager()
    if soon:  # names become registers, and little more
        passes.add_always_inliner_pass()
        passes.add_sroa_pass()
        passes.add_simplify_cfg_pass()
        passes.add_instruction_combine_pass()
        passes.add_simplify_cfg_pass()
    passes.run(module, builder)
    engine = binding.create_mcjit_compiler(module, target)
    engine.finalize_object()
    return engine
