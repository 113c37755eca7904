"""How quick the desk is: first page, drag of an aerial, twenty people at once.

    python benchmarks/desk.py [examples/tallowmere-court]

The desk runs as its users run it, as a program of its own. Each of the twenty does something every
two to six seconds, a third of it a change that is saved; half of the changes add an entry, which costs
more than another number. Ten of the twenty keep a page open that fetches itself anew at each news.
Every figure stands beside a peer measured in the same run: the first page beside a page of the
same server that does no work, twenty people beside one, and the same twenty while one more makes
the papers of a house again and again and another searches the rules. Needs the extra `desk`.
"""

from __future__ import annotations

import json
import os
import random
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import threading
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests")]

from helpers.desk import Served  # noqa: E402

PEOPLE = 20
ACTIONS = 6
PAUSE_S = (2.0, 6.0)
HOUSE = "larkfen-house"
"""Whose papers are made meanwhile."""
ESTATE = "brindlemark"
RULE = 9
"""Which rule of it is searched meanwhile, anew after each change; warm it takes a fraction of a second."""


def main() -> None:
    """Serve a copy of the job, measure, print."""
    example = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "examples" / "tallowmere-court"
    with tempfile.TemporaryDirectory() as folder:
        for name in {example.name, HOUSE, ESTATE}:
            shutil.copytree(example.parent / name, Path(folder) / name)
        with running(Path(folder)) as (desk, process):
            begun = time.perf_counter()
            answer = desk.ask(f"/j/{example.name}/promises", headers={"Accept": "text/html"})
            first = time.perf_counter() - begun
            is_judged = "data-stale" not in answer.text
            while "data-stale" in answer.text:
                time.sleep(0.05)
                answer = desk.ask(f"/j/{example.name}/promises", headers={"Accept": "text/html"})
            whole = time.perf_counter() - begun
            warm = _waited(desk, example.name)
            again = [_timed(desk, f"/j/{example.name}/promises") for _ in range(10)]
            nothing = [_timed(desk, "/health") for _ in range(10)]
            print(
                f"first page after the start      {first * 1000:7.0f} ms  "
                f" {'with' if is_judged else 'without'} its judgement; judged after {whole * 1000:.0f} ms;"
                f" reach ready after {warm:.1f} s"
            )
            print(
                f"the same page again             {statistics.median(again) * 1000:7.1f} ms  "
                f" {statistics.median(again) / statistics.median(nothing):6.1f} x a page that does nothing"
            )
            _maps(desk, example.name)
            alone = _people(desk, example.name, 1)
            print(
                f"one person: {len(alone)} actions, median"
                f" {statistics.median(seconds for _, seconds in alone) * 1000:.0f} ms, 95 % under"
                f" {_share([seconds for _, seconds in alone], 0.95) * 1000:.0f} ms"
            )
            figures = {}
            for words, has_long in ((f"{PEOPLE} people at once", False), ("the same beside long work", True)):
                before = processor_seconds(process)
                with _long_work(desk) if has_long else nullcontext([]) as done:
                    together = _people(desk, example.name, PEOPLE)
                spent = processor_seconds(process) - before
                found = {words: [seconds for _, seconds in together]} | {
                    f"  their {kind}": [seconds for is_change, seconds in together if is_change is value]
                    for kind, value in (("changes", True), ("pages", False))
                }
                figures[has_long] = _share(found[words], 0.95)
                for about, times in found.items():
                    print(
                        f"{about:26} {len(times):4} actions, median {statistics.median(times) * 1000:6.0f}"
                        f" ms, 95 % under {_share(times, 0.95) * 1000:6.0f} ms, longest"
                        f" {max(times) * 1000:.0f} ms"
                    )
                print(
                    f"  the serving process spent {spent:.1f} s of processor time"
                    + "".join(f"; {one}" for one in done)
                )
            print(
                f"{PEOPLE} people beside one, 95 %:"
                f" {figures[False] / _share([seconds for _, seconds in alone], 0.95):.1f} x; beside long work"
                f" against without: {figures[True] / figures[False]:.1f} x"
            )


@contextmanager
def _long_work(desk: Served) -> Iterator[list[str]]:
    """One more client makes every paper of the house, another changes an estate and searches a rule of it,
    both again and again; says how often.
    """
    ended = threading.Event()
    done: list[str] = []
    times: dict[str, list[float]] = {"packs of papers": [], "searches": []}

    def again(what: str, path: str, body: bytes | None) -> None:
        while not ended.is_set():
            if body is not None:  # what was searched once is kept while the job stays
                change = {"path": ["details", "issue"], "value": str(time.monotonic_ns())}
                assert desk.ask(f"/j/{ESTATE}/edit", {"changes": [change], "says": "issue"}).status == 200
            begun = time.perf_counter()
            request = urllib.request.Request(
                f"{desk.address}{path}",
                data=body,
                headers={"Cookie": desk.cookie, "Content-Type": "application/json"},
            )
            with urllib.request.urlopen(request, timeout=600) as answer:
                answer.read()
            times[what].append(time.perf_counter() - begun)
            ended.wait(0.5)

    threads = [
        threading.Thread(target=again, args=given, daemon=True)
        for given in (
            ("packs of papers", f"/j/{HOUSE}/papers/pack.zip", None),
            ("searches", f"/j/{ESTATE}/rehearsal/search", json.dumps({"rule": RULE}).encode()),
        )
    ]
    for one in threads:
        one.start()
    yield done
    ended.set()
    for one in threads:
        one.join()
    done += [f"{len(found)} {what}, median {statistics.median(found):.1f} s" for what, found in times.items()]


@contextmanager
def running(job: Path) -> Iterator[tuple[Served, int]]:
    """The desk as a program of its own, on a free port."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "src")}
    with subprocess.Popen(
        [sys.executable, "-m", "farpress", "desk", str(job), "--port", "0", "--no-browser"],
        stdout=subprocess.PIPE,
        text=True,
        env=environment,
    ) as process:
        try:
            assert process.stdout is not None
            port = next(
                int(found[1]) for line in process.stdout if (found := re.search(r"127\.0\.0\.1:(\d+)/", line))
            )
            yield Served(port, job, None), process.pid
        finally:
            process.terminate()


def processor_seconds(process: int) -> float:
    """Processor time of a process without its children [s]; 0 where the system does not tell."""
    try:
        fields = Path(f"/proc/{process}/stat").read_text(encoding="ascii").rsplit(")", 1)[1].split()
    except OSError:
        return 0.0
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def _waited(desk: Served, job: str) -> float:
    """Seconds until a first map comes."""
    begun = time.perf_counter()
    data = json.loads(desk.ask(f"/j/{job}/plan/data").text)
    box = data["receivers"][0]
    while json.loads(
        desk.ask(
            f"/j/{job}/plan/map?left=0&right=10&low=0&high=10&columns=4&rows=4&receiver={box['name']}"
        ).text
    ).get("wait"):
        time.sleep(0.5)
    return time.perf_counter() - begun


def _timed(desk: Served, path: str) -> float:
    begun = time.perf_counter()
    desk.ask(path, headers={"Accept": "text/html"})
    return time.perf_counter() - begun


def _maps(desk: Served, job: str) -> None:
    """Coarse and fine maps while an aerial is dragged, warm."""
    data = json.loads(desk.ask(f"/j/{job}/plan/data").text)
    receiver = data["receivers"][0]
    at = receiver["aerial"] or receiver["at"]
    points = [point for wall in data["walls"] for point in wall["along"]] + [
        one["at"] for one in data["places"]
    ]
    xs, ys = [point[0] for point in points], [point[1] for point in points]
    area = f"left={min(xs)}&right={max(xs)}&low={min(ys)}&high={max(ys)}&receiver={receiver['name']}&level={data['levels'][0]['name'] if data['levels'] else ''}"  # noqa: E501
    height = f",{at[2]}" if len(at) > 2 else ""
    for words, cells in (("coarse", "columns=30&rows=23"), ("fine", "columns=90&rows=71")):
        desk.ask(f"/j/{job}/plan/map?{area}&{cells}".replace(" ", "%20"))
        found = [
            _timed(
                desk,
                f"/j/{job}/plan/map?{area}&{cells}&aerial={at[0] + step / 5},{at[1]}{height}".replace(
                    " ", "%20"
                ),
            )
            for step in range(1, 8)
        ]
        print(
            f"{words + ' map of a dragged aerial':32}{statistics.median(found) * 1000:7.0f} ms   longest"
            f" {max(found) * 1000:.0f} ms"
        )


def _people(desk: Served, job: str, count: int) -> list[tuple[bool, float]]:
    """Each looks at pages and changes a place of their own."""
    found: list[tuple[bool, float]] = []
    lock = threading.Lock()
    premises = json.loads(desk.ask(f"/j/{job}/plan/data").text)["premises"]
    places = [one["name"] for one in json.loads(desk.ask(f"/j/{job}/plan/data").text)["places"]]

    def person(number: int) -> None:
        pause = random.Random(number)
        time.sleep(pause.uniform(0, PAUSE_S[1] if count > 1 else 0))
        for step in range(ACTIONS):
            begun = time.perf_counter()
            if step % 3 == 2:
                path = ["premises", premises, "places", places[number % len(places)], "at", 0]
                change = (
                    {"path": path, "value": number + step / 10}
                    if step % 2
                    else {
                        "path": ["premises", premises, "places", f"spot {count} {number} {step}"],
                        "value": {"at": [number, step]},
                    }
                )
                answer = desk.ask(f"/j/{job}/edit", {"changes": [change], "says": "moved"})
                assert answer.status == 200, answer.text
            else:
                desk.ask(f"/j/{job}/{'promises' if step % 2 else 'plan'}", headers={"Accept": "text/html"})
            spent = time.perf_counter() - begun
            with lock:
                found.append((step % 3 == 2, spent))
            time.sleep(pause.uniform(*PAUSE_S))  # people look before they act

    ended = threading.Event()
    watching = [
        threading.Thread(target=_watch, args=(desk, job, ended), daemon=True) for _ in range(count // 2)
    ]
    threads = [threading.Thread(target=person, args=(number,)) for number in range(count)]
    for one in watching + threads:
        one.start()
    for one in threads:
        one.join()
    ended.set()
    return found


def _watch(desk: Served, job: str, ended: threading.Event) -> None:
    """A page that is open: it fetches itself anew at each news, at most once in a second and a half, as the
    script does.
    """
    request = urllib.request.Request(f"{desk.address}/j/{job}/events", headers={"Cookie": desk.cookie})
    with urllib.request.urlopen(request, timeout=60) as news:
        last = 0.0
        while not ended.is_set():
            line = news.readline()
            if line.startswith((b"event: changed", b"event: judged")) and time.monotonic() - last > 1.5:
                last = time.monotonic()
                desk.ask(f"/j/{job}/promises", headers={"Accept": "text/html", "X-Part": "main"})


def _share(found: list[float], share: float) -> float:
    return sorted(found)[min(len(found) - 1, round(share * len(found)))]


if __name__ == "__main__":
    main()
