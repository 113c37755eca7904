"""Write a page for every code to docs/reference/checks: what is judged, limit, thin edge, an example.

All of it comes from the registry of checks; the example is the first finding of the code that does not hold
in one of the jobs in `examples`, or else the first that holds.
"""

from __future__ import annotations

from functools import cache

from farpress.case.door import open_job
from farpress.domain.finding import Finding, Verdict
from farpress.judging.assess import assess
from farpress.judging.check import Check
from farpress.judging.registry import all_checks
from farpress.sources import together
from survey import ROOT

FOLDER = ROOT / "docs" / "reference" / "checks"
EXAMPLES = ("larkfen-house", "tallowmere-court", "brindlemark")
_ORDER = (Verdict.FAILS, Verdict.UNKNOWN, Verdict.THIN, Verdict.HOLDS)


def pages() -> dict[str, str]:
    """Code → its page."""
    return {code: _page(code, check) for code, check in all_checks().items()}


def _page(code: str, check: Check) -> str:
    example = _examples().get(code)
    lines = [f"# {code}", "", check.says, "", "| | |", "| --- | --- |"]
    lines += [f"| {what} | {text} |" for what, text in _rows(check)]
    lines += ["", "## Example", ""]
    if example is None:
        lines.append("None of the example jobs has a finding of this code.")
    else:
        job, finding = example
        lines += [f"**{finding.verdict}**, {finding.about} ([{job}](../../../examples/{job})):", ""]
        lines += [finding.says, ""]
        lines += [*([finding.because, ""] if finding.because else [])]
        lines += [*([_numbers(finding), ""] if finding.margin is not None else [])]
        if finding.remedies:
            remedy = finding.remedies[0]
            lines += [f"{'Asked' if finding.asks else 'Remedy'}: {remedy.does}", ""]
        lines += ["Sources: " + "; ".join(together(finding.sources)) + "."] if finding.sources else []
    return "\n".join(lines).rstrip() + "\n"


def _rows(check: Check) -> list[tuple[str, str]]:
    rows = [
        ("Link", str(check.link)),
        ("Limit", check.limit_says),
        ("Thin", _thin(check)),
        ("At stake", check.stake.says),
        ("Barred", "yes: nobody may accept it" if check.bars else "only where the finding says so"),
        ("Kind of limit", "advice: at worst thin" if check.advice else "need: it fails, however close"),
        ("Asked if unknown", f"{check.ask} ({check.who}, about {check.minutes:g} min)"),
    ]
    if check.limit is not None and check.limit.sources:
        rows.insert(2, ("Source of the limit", "; ".join(together(check.limit.sources))))
    if check.mends:
        rows.append(("What mends it", check.mends))
    return rows


def _thin(check: Check) -> str:
    if check.bound is None:
        return "yes with a reservation; the finding says which"
    if check.thin.because:
        return f"within one standard uncertainty, or {check.thin.says}"
    return "within one standard uncertainty; where nobody knows it, within a tenth of the limit"


def _numbers(finding: Finding) -> str:
    doubt = f" ± {finding.doubt:.3g}" if finding.doubt is not None else ""
    unit = f" {finding.unit}" if finding.unit else ""
    return (
        f"Value {finding.value:.4g}{unit}, limit {finding.limit:.4g}{unit}, margin"
        f" {finding.margin:+.3g}{doubt}{unit}."
    )


@cache
def _examples() -> dict[str, tuple[str, Finding]]:
    best: dict[str, tuple[str, Finding]] = {}
    for job in EXAMPLES:
        for finding in assess(open_job(ROOT / "examples" / job)).findings:
            known = best.get(finding.code)
            if known is None or _ORDER.index(finding.verdict) < _ORDER.index(known[1].verdict):
                best[finding.code] = (job, finding)
    return best


def main() -> None:
    """Write every page, and take away those of codes that are gone."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    made = pages()
    for file in FOLDER.glob("*.md"):
        if file.stem not in made:
            file.unlink()
    for code, text in made.items():
        (FOLDER / f"{code}.md").write_text(text, encoding="utf-8", newline="\n")
    print(f"{len(made)} pages in {FOLDER.relative_to(ROOT)}")


if __name__ == "__main__":
    main()
