"""How quick the desk is: first page, drag of an aerial, twenty people at once.

    python benchmarks/desk.py [examples/tallowmere-court]

The desk runs as its users run it, as a program of its own. Each of the twenty does something every
two to six seconds, a third of it a change that is saved; half of the changes add an entry, which costs
more than another number. Ten of the twenty keep a page open that fetches itself anew at each news.
Every figure stands beside a peer measured in the same run: the first page beside a page of the
same server that does no work, twenty people beside one. Needs the extra `desk`.
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
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests")]

from helpers.desk import Served  # noqa: E402  the path is set just above

PEOPLE = 20
ACTIONS = 6
PAUSE_S = (2.0, 6.0)


def main() -> None:
    """Serve a copy of the job, measure, print."""
    example = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "examples" / "tallowmere-court"
    with tempfile.TemporaryDirectory() as folder:
        job = Path(folder) / example.name
        shutil.copytree(example, job)
        with running(job) as (desk, process):
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
            print(f"first page after the start      {first * 1000:7.0f} ms   {'with' if is_judged else 'without'} its judgement; judged after {whole * 1000:.0f} ms; reach ready after {warm:.1f} s")
            print(f"the same page again             {statistics.median(again) * 1000:7.1f} ms   {statistics.median(again) / statistics.median(nothing):6.1f} x a page that does nothing")
            _maps(desk, example.name)
            alone = _people(desk, example.name, 1)
            before = processor_seconds(process)
            together = _people(desk, example.name, PEOPLE)
            spent = processor_seconds(process) - before
            changes, pages = ([spent for is_change, spent in together if is_change is kind] for kind in (True, False))
            alone, together = ([spent for _, spent in found] for found in (alone, together))
            for words, found in (("one person", alone), (f"{PEOPLE} people at once", together), ("  their changes", changes), ("  their pages", pages)):
                print(f"{words:20} {len(found):4} actions, median {statistics.median(found) * 1000:6.0f} ms, 95 % under {_share(found, 0.95) * 1000:6.0f} ms")
            print(f"{PEOPLE} people beside one, 95 %: {_share(together, 0.95) / _share(alone, 0.95):.1f} x; the serving process spent {spent:.1f} s of processor time")


@contextmanager
def running(job: Path) -> Iterator[tuple[Served, int]]:
    """The desk as a program of its own, on a free port."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "src")}
    with subprocess.Popen([sys.executable, "-m", "farpress", "desk", str(job), "--port", "0", "--no-browser"], stdout=subprocess.PIPE, text=True, env=environment) as process:
        try:
            assert process.stdout is not None
            port = next(int(found[1]) for line in process.stdout if (found := re.search(r"127\.0\.0\.1:(\d+)/", line)))
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
    while json.loads(desk.ask(f"/j/{job}/plan/map?left=0&right=10&low=0&high=10&columns=4&rows=4&receiver={box['name']}").text).get("wait"):
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
    points = [point for wall in data["walls"] for point in wall["along"]] + [one["at"] for one in data["places"]]
    xs, ys = [point[0] for point in points], [point[1] for point in points]
    area = f"left={min(xs)}&right={max(xs)}&low={min(ys)}&high={max(ys)}&receiver={receiver['name']}&level={data['levels'][0]['name'] if data['levels'] else ''}"
    height = f",{at[2]}" if len(at) > 2 else ""
    for words, cells in (("coarse", "columns=30&rows=23"), ("fine", "columns=90&rows=71")):
        desk.ask(f"/j/{job}/plan/map?{area}&{cells}".replace(" ", "%20"))
        found = [_timed(desk, f"/j/{job}/plan/map?{area}&{cells}&aerial={at[0] + step / 5},{at[1]}{height}".replace(" ", "%20")) for step in range(1, 8)]
        print(f"{words + ' map of a dragged aerial':32}{statistics.median(found) * 1000:7.0f} ms   longest {max(found) * 1000:.0f} ms")


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
                change = {"path": path, "value": number + step / 10} if step % 2 else {"path": ["premises", premises, "places", f"spot {count} {number} {step}"], "value": {"at": [number, step]}}
                answer = desk.ask(f"/j/{job}/edit", {"changes": [change], "says": "moved"})
                assert answer.status == 200, answer.text
            else:
                desk.ask(f"/j/{job}/{'promises' if step % 2 else 'plan'}", headers={"Accept": "text/html"})
            spent = time.perf_counter() - begun
            with lock:
                found.append((step % 3 == 2, spent))
            time.sleep(pause.uniform(*PAUSE_S))  # people look before they act

    ended = threading.Event()
    watching = [threading.Thread(target=_watch, args=(desk, job, ended), daemon=True) for _ in range(count // 2)]
    threads = [threading.Thread(target=person, args=(number,)) for number in range(count)]
    for one in watching + threads:
        one.start()
    for one in threads:
        one.join()
    ended.set()
    return found


def _watch(desk: Served, job: str, ended: threading.Event) -> None:
    """A page that is open: it fetches itself anew at each news, at most once in a second and a half, as the script does."""
    import urllib.request

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
