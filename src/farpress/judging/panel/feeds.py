"""What a panel feeds and switches itself, sirens and lamps, against what its outputs give."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.feeding import AUX, PanelFeed, panel_feeds
from farpress.case.supply_ends import device_current_a
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Verdict, Who
from farpress.domain.refs import DeviceRef, PanelRef
from farpress.judging.check import AT_MOST, Check, Estimate, Limit, share_edge
from farpress.phrases import listed
from farpress.sources import Citation
from farpress.units import write_at_least, write_quantity

__all__ = ["AUX_CURRENT", "OUTPUT_CURRENT", "judge"]

AUX_CURRENT: Final = Check(
    "PAN-16",
    Link.PANEL,
    "Current of everything that a panel's auxiliary output feeds, at rest and in alarm, against the most it"
    " gives.",
    unit="A",
    bound=AT_MOST,
    thin=share_edge(0.2, "80 % of a rating are used in design, common practice"),
    stake=Stake.PROMISE,
    ask="Read the most current of the auxiliary output off the panel or its manual.",
    who=Who.ALARM_COMPANY,
    mends="Sirens with batteries of their own, or a supply of their own for them.",
)

OUTPUT_CURRENT: Final = Check(
    "PAN-17",
    Link.PANEL,
    "Current of what a panel's output works, against the most it may carry.",
    unit="A",
    bound=AT_MOST,
    stake=Stake.WEAR,
    ask="Read the most current of this output out of the panel's manual.",
    who=Who.ALARM_COMPANY,
    mends="A relay between, or something that draws less.",
)


def judge(case: Case) -> Iterator[Finding]:
    """PAN-16 of each auxiliary output that feeds something, PAN-17 of each other output that does."""
    by_output: dict[tuple[str, str, str], list[PanelFeed]] = {}
    for feed in panel_feeds(case):
        by_output.setdefault((feed.premises, feed.panel, feed.output), []).append(feed)
    for (_, _, output), feeds in by_output.items():
        yield _aux(feeds) if output == AUX else _output(feeds)


def _sum(feeds: list[PanelFeed]) -> tuple[float | None, list[Ask]]:
    """Current of all of it together [A], and what is to be asked where one is not known."""
    known = [(feed, device_current_a(feed.device_part.sheet)) for feed in feeds]
    asks = [
        Ask(f"Read off the label of {feed.device} how much it draws.", Who.LABEL)
        for feed, amperes in known
        if amperes is None
    ]
    return sum(amperes or 0.0 for _, amperes in known), asks


def _aux(feeds: list[PanelFeed]) -> Finding:
    """PAN-16: everything that can be on in an alarm is on; what is on only while unset is not."""
    first = feeds[0]
    path = f"{first.premises}/{first.panel}"
    alarm = [feed for feed in feeds if feed.fed.only != "while unset"]
    rest = [feed for feed in feeds if feed.fed.only != "in alarm"]
    (in_alarm, asks), (at_rest, _) = _sum(alarm), _sum(rest)
    most = first.panel_part.sheet.aux_max_a
    value = max(in_alarm or 0.0, at_rest or 0.0)
    names = listed(feed.device for feed in (alarm if value == in_alarm else rest))
    drawn = f"The auxiliary output of {path} feeds {names}: {write_quantity(value, 'current')} in all"
    gives = (
        f"it gives {write_quantity(most, 'current')}" if most is not None else "what it gives is not known"
    )
    return AUX_CURRENT.judge(
        about=f"{path}: auxiliary output",
        subjects=(PanelRef(path), *(DeviceRef(f"{feed.premises}/{feed.device}") for feed in feeds)),
        cause=PanelRef(path),
        value=Estimate(value, None, _sources(feeds)),
        limit=Limit(most, first.panel_part.cite("aux_max_a")),
        says=f"{drawn}{' as far as is known' if asks else ''}; {gives}.",
        because=f"At rest {write_quantity(at_rest or 0.0, 'current')}, in an alarm"
        f" {write_quantity(in_alarm or 0.0, 'current')}.",
        asks=asks,
        remedies=(
            Remedy("Sirens with batteries of their own, which the panel only tells to sound"),
            Remedy(
                f"A supply of their own of at least {write_at_least(value / 0.8, 'current')}, with a battery"
            ),
        ),
    )


def _output(feeds: list[PanelFeed]) -> Finding:
    """PAN-17."""
    first = feeds[0]
    path = f"{first.premises}/{first.panel}"
    value, asks = _sum(feeds)
    sheet = (first.panel_part.sheet.outputs or {}).get(first.output)
    most = sheet.current_max_a if sheet is not None else None
    form = f" ({sheet.form})" if sheet is not None and sheet.form else ""
    carries = "what it may carry is not known"
    if most is not None:
        carries = f"it may carry {write_quantity(most, 'current')}"
    names = listed(feed.device for feed in feeds)
    fix = Remedy(
        f"A relay between, whose coil draws less than {write_quantity(most, 'current')}, or something that"
        " draws less"
        if most is not None
        else "A relay between"
    )

    def because(verdict: Verdict) -> str:
        return "A transistor that carries too much gets hot and fails." if verdict is Verdict.FAILS else ""

    return OUTPUT_CURRENT.judge(
        about=f"{path}.{first.output}",
        subjects=(PanelRef(path), *(DeviceRef(f"{feed.premises}/{feed.device}") for feed in feeds)),
        cause=PanelRef(path),
        value=Estimate(value, None, _sources(feeds)),
        limit=Limit(most, first.panel_part.cite("outputs")),
        says=f"{names} at the output {first.output} of {path}{form} draws"
        f" {write_quantity(value or 0.0, 'current')}; {carries}.",
        because=because,
        asks=asks,
        remedies=(fix,),
    )


def _sources(feeds: list[PanelFeed]) -> tuple[Citation, ...]:
    return tuple(
        source for feed in feeds for source in feed.device_part.cite("current_a", "power_w", "pieces")
    )
