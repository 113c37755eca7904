"""How quick the desk is: first page, drag of an aerial, twenty people at once.

    python benchmarks/desk.py [examples/tallowmere-court]

Each of the twenty does something every two to six seconds, a third of it a change that is saved.
Every figure stands beside a peer measured in the same run: the first page beside a page of the
same server that does no work, twenty people beside one. Needs the extra `desk`.
"""

from __future__ import annotations

import json
import random
import shutil
import statistics
import sys
import tempfile
import threading
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests")]

PEOPLE = 20
ACTIONS = 6
PAUSE_S = (2.0, 6.0)


def main() -> None:
    """Serve a copy of the job, measure, print."""
    from helpers.desk import served

    example = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "examples" / "tallowmere-court"
    with tempfile.TemporaryDirectory() as folder:
        job = Path(folder) / example.name
        shutil.copytree(example, job)
        with served(job, is_warmed=True) as desk:
            begun = time.perf_counter()
            desk.ask(f"/j/{example.name}/promises", headers={"Accept": "text/html"})
            first = time.perf_counter() - begun
            again = [_timed(desk, f"/j/{example.name}/promises") for _ in range(10)]
            nothing = [_timed(desk, "/health") for _ in range(10)]
            print(f"first page, job not judged yet  {first * 1000:7.0f} ms")
            print(f"the same page again             {statistics.median(again) * 1000:7.1f} ms   {statistics.median(again) / statistics.median(nothing):6.1f} x a page that does nothing")
            _maps(desk, example.name)
            alone = _people(desk, example.name, 1)
            together = _people(desk, example.name, PEOPLE)
            for words, found in (("one person", alone), (f"{PEOPLE} people at once", together)):
                print(f"{words:20} {len(found):4} actions, median {statistics.median(found) * 1000:6.0f} ms, 95 % under {_share(found, 0.95) * 1000:6.0f} ms")
            print(f"{PEOPLE} people beside one, 95 %: {_share(together, 0.95) / _share(alone, 0.95):.1f} x")


def _timed(desk: object, path: str) -> float:
    begun = time.perf_counter()
    desk.ask(path, headers={"Accept": "text/html"})  # type: ignore[attr-defined]
    return time.perf_counter() - begun


def _maps(desk: object, job: str) -> None:
    """Coarse and fine maps while an aerial is dragged, warm."""
    data = json.loads(desk.ask(f"/j/{job}/plan/data").text)  # type: ignore[attr-defined]
    receiver = data["receivers"][0]
    at = receiver["aerial"] or receiver["at"]
    points = [point for wall in data["walls"] for point in wall["along"]] + [one["at"] for one in data["places"]]
    xs, ys = [point[0] for point in points], [point[1] for point in points]
    area = f"left={min(xs)}&right={max(xs)}&low={min(ys)}&high={max(ys)}&receiver={receiver['name']}&level={data['levels'][0]['name'] if data['levels'] else ''}"
    height = f",{at[2]}" if len(at) > 2 else ""
    for words, cells in (("coarse", "columns=30&rows=23"), ("fine", "columns=90&rows=71")):
        desk.ask(f"/j/{job}/plan/map?{area}&{cells}".replace(" ", "%20"))  # type: ignore[attr-defined]
        found = [_timed(desk, f"/j/{job}/plan/map?{area}&{cells}&aerial={at[0] + step / 5},{at[1]}{height}".replace(" ", "%20")) for step in range(1, 8)]
        print(f"{words + ' map of a dragged aerial':32}{statistics.median(found) * 1000:7.0f} ms   longest {max(found) * 1000:.0f} ms")


def _people(desk: object, job: str, count: int) -> list[float]:
    """Each looks at pages and changes a place of their own."""
    found: list[float] = []
    lock = threading.Lock()
    premises = json.loads(desk.ask(f"/j/{job}/plan/data").text)["premises"]  # type: ignore[attr-defined]
    places = [one["name"] for one in json.loads(desk.ask(f"/j/{job}/plan/data").text)["places"]]  # type: ignore[attr-defined]

    def person(number: int) -> None:
        pause = random.Random(number)
        time.sleep(pause.uniform(0, PAUSE_S[1] if count > 1 else 0))
        for step in range(ACTIONS):
            begun = time.perf_counter()
            if step % 3 == 2:
                path = ["premises", premises, "places", places[number % len(places)], "at", 0]
                desk.ask(f"/j/{job}/edit", {"changes": [{"path": path, "value": number + step / 10}], "says": "moved"})  # type: ignore[attr-defined]
            else:
                desk.ask(f"/j/{job}/{'promises' if step % 2 else 'plan'}", headers={"Accept": "text/html"})  # type: ignore[attr-defined]
            spent = time.perf_counter() - begun
            with lock:
                found.append(spent)
            time.sleep(pause.uniform(*PAUSE_S))  # people look before they act

    threads = [threading.Thread(target=person, args=(number,)) for number in range(count)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    return found


def _share(found: list[float], share: float) -> float:
    return sorted(found)[min(len(found) - 1, round(share * len(found)))]


if __name__ == "__main__":
    main()
