"""The models that are searched, written out for an independent program: one file of Promela a check."""

from __future__ import annotations

from collections.abc import Iterator

from farpress.case.case import Case
from farpress.case.rules import outputs_named, rule_fault
from farpress.core.rehearsal.model import StateModel
from farpress.core.rehearsal.promela import write_promela
from farpress.core.rehearsal.ready import Network, make_ready
from farpress.core.rehearsal.wording import ModelError
from farpress.phrases import slug
from farpress.rehearsal.building import build_site
from farpress.rehearsal.checks import checks_always, checks_of, settled_elsewhere
from farpress.rehearsal.searched import SearchedCheck
from farpress.rehearsal.site import neighbours

__all__ = ["models_in_promela", "true_networks"]


def models_in_promela(case: Case) -> Iterator[tuple[str, str]]:
    """Name of a file, and the true model of a check with its condition as an assertion.

    Pulses have their lengths and leaves their positions; a check that cannot be searched is left out.
    """
    for name, check, network in _true_ones(case):
        yield f"{name}.pml", f"/* {check.forbids.replace('*/', '')} */\n{write_promela(network)}"


def true_networks(case: Case) -> Iterator[tuple[str, Network]]:
    """The same models, each with its name, ready to be searched."""
    for name, _, network in _true_ones(case):
        yield name, network


def _true_ones(case: Case) -> Iterator[tuple[str, SearchedCheck, Network]]:
    checks: list[tuple[str, SearchedCheck]] = []
    for number, rule in enumerate(case.job.rules, 1):
        if not settled_elsewhere(rule) and not rule_fault(case, rule):
            own = checks_of(case, rule, outputs_named(case, rule))
            checks += [(f"rule-{number}", check) for check in own]
    checks += [("always", check) for check in checks_always(case)]
    written: dict[str, int] = {}
    for where, check in checks:
        site = build_site(case, neighbours(case, check.seeds), lengths=check.lengths, exact=False)
        watched = check.watched(site)
        if not isinstance(watched, StateModel):
            continue
        try:
            network = make_ready(watched, closed=True)
        except ModelError:  # what contradicts itself is told by the search
            continue
        name = slug(f"{where} {check.never} {check.about}")
        written[name] = written.get(name, 0) + 1
        again = f"-{written[name]}" if written[name] > 1 else ""
        yield f"{name}{again}", check, network
