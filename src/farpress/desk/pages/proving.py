"""Proving: the plan with what is shown so far, and the walk on a phone, one big yes or no a press."""

from __future__ import annotations

import json
from typing import Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from farpress.desk.access import DeskRole
from farpress.desk.frame import JobRequest, sheet_of
from farpress.desk.pages.changing import body_of
from farpress.errors import InputError
from farpress.proving.ask import ProvingPlan, TestProof, TrialEntry, enter, proven_tests, proving_plan

__all__ = ["ROUTES"]

KINDS: Final = ("trial done", "check done", "reading taken")
_plans: dict[str, ProvingPlan] = {}


def _plan(sheet: JobRequest) -> ProvingPlan:
    """The plan of the job as it is now; kept while the job stays so."""
    key = f"{sheet.name} {sheet.state.fingerprint}"
    found = _plans.get(key)
    if found is None:
        found = proving_plan(sheet.state.case)
        while len(_plans) > 8:
            _plans.pop(next(iter(_plans)), None)
        _plans[key] = found
    return found


def _proofs(sheet: JobRequest, plan: ProvingPlan) -> tuple[TestProof, ...]:
    return proven_tests(plan, sheet.desk.shelf.record(sheet.name).events(job=plan.job, kinds=KINDS))


def _page(request: Request) -> Response:
    sheet = sheet_of(request)
    plan = _plan(sheet)
    proofs = _proofs(sheet, plan)
    counts: dict[str, int] = {}
    for proof in proofs:
        counts[str(proof.proof)] = counts.get(str(proof.proof), 0) + 1
    return sheet.page("proving.html", here="proving", plan=plan, proofs=proofs, counts=counts)


def _walk(request: Request) -> Response:
    """The walk: everything it needs is in the page, so that it goes on without a connection."""
    sheet = sheet_of(request)
    plan = _plan(sheet)
    premises = request.query_params.get("premises") or None
    tests = [_test(proof) for proof in _proofs(sheet, plan) if premises in (None, proof.test.premises)]
    return sheet.page("walk.html", here="proving", tests=json.dumps(tests), cautions=plan.cautions)


def _test(proof: TestProof) -> dict[str, Any]:
    test = proof.test
    presses = test.presses
    return {
        "id": test.id,
        "number": test.number,
        "kind": test.kind,
        "does": test.does,
        "expected": test.expected,
        "place": test.place,
        "unit": test.unit,
        "presses": presses.presses if presses is not None else 0,
        "pad": presses.pad_db if presses is not None and presses.method == "pad" else 0,
        "caution": test.caution,
        "held": test.held,
        "tries": proof.tries,
        "failures": proof.failures,
        "proof": str(proof.proof),
        "says": proof.says,
        "more": proof.more_presses,
    }


async def _enter(request: Request) -> Response:
    """Results from a phone; each has an id of its own, so that one sent twice counts once."""
    body = await body_of(request)
    return await run_in_threadpool(_entered, request, body)


def _entered(request: Request, body: dict[str, Any]) -> Response:
    sheet = sheet_of(request, role=DeskRole.KEEPER)
    given = body.get("entries")
    if not isinstance(given, list) or len(given) > 2000:
        raise InputError("Results come as a list of at most 2000.")
    plan = _plan(sheet)
    taken: list[str] = []
    refused: dict[str, str] = {}
    for pressed in given:
        client = str(pressed.get("id", "")) if isinstance(pressed, dict) else ""
        try:
            if not client or len(client) > 80:
                raise InputError("A result needs an id of its own.")
            enter(sheet.desk.shelf.record(sheet.name), plan, [_entry(pressed, client)], by=sheet.session.name)
            taken.append(client)
        except InputError as error:
            refused[client] = str(error).splitlines()[-1]
    if taken:
        sheet.desk.hub.tell(sheet.name, "record", client=request.headers.get("x-client", ""))
    tests = {proof.test.id: _test(proof) for proof in _proofs(sheet, plan)} if taken else {}
    wanted = {str(pressed.get("test")) for pressed in given if isinstance(pressed, dict)}
    return JSONResponse(
        {
            "ok": True,
            "says": "",
            "taken": taken,
            "refused": refused,
            "tests": {key: value for key, value in tests.items() if key in wanted},
        }
    )


def _entry(pressed: dict[str, Any], client: str) -> TrialEntry:
    def number(name: str) -> float | None:
        value = pressed.get(name)
        return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None

    presses, heard = number("presses"), number("heard")
    passed = pressed.get("passed")
    return TrialEntry(
        str(pressed.get("test", "")),
        None if presses is None else int(presses),
        None if heard is None else int(heard),
        number("pad"),
        passed if isinstance(passed, bool) else None,
        number("value"),
        str(pressed.get("fob", ""))[:60],
        str(pressed.get("remark", ""))[:400],
        client,
        anew=pressed.get("anew") is True,
    )


ROUTES: Final = [
    Route("/j/{job}/proving", _page),
    Route("/j/{job}/proving/walk", _walk),
    Route("/j/{job}/proving/enter", _enter, methods=["POST"]),
]
