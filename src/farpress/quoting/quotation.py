"""The quotation of a job: quantities, hours and money by the firm's lists, and what stands against it,
first.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from farpress.case.case import Case
from farpress.core.quoting.money import Bill
from farpress.domain.finding import Assessment, Verdict
from farpress.overview.page import first_page
from farpress.phrases import listed, plural
from farpress.quoting.norms import Norms
from farpress.quoting.prices import PriceList
from farpress.quoting.pricing import PricedLine, priced_lines, summed
from farpress.quoting.quantities import Quantities, quantities_of
from farpress.quoting.terms import Terms

__all__ = ["FirmLists", "Quotation", "QuoteOption", "quotation_of"]


@dataclass(frozen=True)
class FirmLists:
    """What the firm gives: prices, norms, terms; and where each comes from, in words, for the papers."""

    prices: PriceList = field(default_factory=PriceList)
    norms: Norms = field(default_factory=Norms)
    terms: Terms = field(default_factory=Terms)
    origins: tuple[str, ...] = ()


@dataclass(frozen=True)
class QuoteOption:
    """What only wishes need: its lines, and its own sum; None where there is none."""

    name: str
    lines: tuple[PricedLine, ...]
    bill: Bill | None

    @property
    def missing(self) -> str:
        """What its sum does not hold; empty for a whole one."""
        return _missing(self.lines, 0)


@dataclass(frozen=True)
class Quotation:
    """A quotation.

    Attributes:
        job, fingerprint: of the job file.
        warnings: what does not hold or is not known, for its first lines; empty where all holds.
        quantities: what was counted.
        lines: priced, the work last.
        bill: sums of the lines that have a price; None where no money can be told.
        options: each with its own sum.
        lists: of the firm.
        day, valid_until: None where they are not given.
    """

    job: str
    fingerprint: str
    warnings: tuple[str, ...]
    quantities: Quantities
    lines: tuple[PricedLine, ...]
    bill: Bill | None
    options: tuple[QuoteOption, ...]
    lists: FirmLists
    day: date | None = None
    valid_until: date | None = None

    @property
    def missing(self) -> str:
        """What the sum does not hold, to stand beside it; empty for a whole sum."""
        return _missing(self.lines, len(self.quantities.open))


def quotation_of(
    case: Case, assessment: Assessment, lists: FirmLists | None = None, *, day: date | None = None
) -> Quotation:
    """Quote a job.

    Args:
        case: the job.
        assessment: its judgements.
        lists: of the firm; without them quantities alone.
        day: date of the quotation.
    """
    given = lists or FirmLists()
    quantities = quantities_of(case, assessment, given.norms)
    lines = priced_lines(quantities.offered, given.prices, given.terms, given.norms)
    options = []
    for name, found in quantities.options.items():
        own = priced_lines(found, given.prices, given.terms, given.norms)
        options.append(QuoteOption(name, own, summed(own, given.terms)))
    valid = given.terms.valid_days
    return Quotation(
        case.job.job,
        case.fingerprint,
        tuple(_warnings(assessment, quantities, given)),
        quantities,
        lines,
        summed(lines, given.terms),
        tuple(options),
        given,
        day,
        day + timedelta(days=valid) if day is not None and valid is not None else None,
    )


def _missing(lines: Sequence[PricedLine], uncounted: int) -> str:
    """What a sum of lines does not hold."""
    count = sum(line.amount is None for line in lines)
    without = [name for line in lines if line.amount is not None for name in line.without]
    parts = [
        *([plural(count, "line that has no price", "lines that have no price")] if count else []),
        *([f"{uncounted} that could not be counted"] if uncounted else []),
        *([f"the time for {listed(without)}"] if without else []),
    ]
    return f"without {listed(parts)}" if parts else ""


def _warnings(assessment: Assessment, quantities: Quantities, lists: FirmLists) -> Iterator[str]:
    """What whoever signs must read first; nothing is softened here, and nothing judged anew."""
    page = first_page(assessment)
    if quantities.refused:
        why = listed(f"{path} ({reason})" for path, reason in quantities.refused.items())
        yield f"Not offered, because nobody may accept it: {why}."
    if page.stop:
        first = page.stop[0]
        yield (
            f"As it stands this job must not go into service: {plural(len(page.stop), 'matter')} to"
            " stop. First:"
            f" {listed(first.names)}: {first.told[0]}."
        )
    must = [chain for chain in assessment.promises if chain.importance == "must"]
    failing = sum(chain.verdict is Verdict.FAILS for chain in must)
    unknown = sum(chain.verdict is Verdict.UNKNOWN for chain in must)
    if failing:
        yield (
            f"What is quoted here does not keep {failing} of {plural(len(must), 'promise')} that must"
            " be kept: mend"
            " the job first, and quote what then stands."
        )
    if page.ask:
        waiting = (
            f", {plural(unknown, 'promise')} that must be kept among what waits for it" if unknown else ""
        )
        yield f"{plural(len(page.ask), 'question')} not answered yet{waiting}: quantities may change."
    if lists.norms.is_pattern:
        yield "The working time is that of an invented pattern: the firm's own norms are not given."
