"""Small assessments for tests of papers, tables and JSON; everything in them is invented."""

from __future__ import annotations

from farpress.domain.finding import (
    Assessment,
    Chain,
    ChainLink,
    Change,
    Finding,
    Link,
    Remedy,
    Verdict,
    worst,
)
from farpress.domain.refs import DeviceRef, OutputRef, PlaceRef
from farpress.sources import Citation, Mark

CABLE = Citation("IEC 60228", "2004", "Table 2", Mark.MEMORY)
SHEET = Citation("data sheet of the strike", "", "job.yaml, line 31", Mark.GIVEN)
OURS = Citation("ten per cent where nothing is known", mark=Mark.CHOICE)


def finding(code: str, link: Link, verdict: Verdict, about: str = "larkfen/R1/3", **more: object) -> Finding:
    """A finding with the fields that matter to a test."""
    says = str(more.pop("says", f"The {link} {verdict} here."))
    return Finding(code=code, link=link, verdict=verdict, about=about, says=says, **more)  # type: ignore[arg-type]


def small_assessment(job: str = "Larkfen House", person: str = "family") -> Assessment:
    """Two promises, one of each verdict, and a failing rule that belongs to no promise."""
    fob = finding("FOB-01", Link.FOB, Verdict.HOLDS, person, value=25.0, limit=10.0, unit="m", margin=15.0)
    air = finding(
        "AIR-01",
        Link.AIR,
        Verdict.THIN,
        "street to larkfen/R1",
        says="The street is heard with 3.2 dB in hand.",
        value=3.2,
        limit=0.0,
        unit="dB",
        margin=3.2,
        doubt=4.1,
        sources=(OURS,),
        subjects=(PlaceRef("larkfen/street"),),
    )
    box = finding("RCV-01", Link.RECEIVER, Verdict.HOLDS)
    pulse = finding(
        "OUT-01",
        Link.OUTPUT,
        Verdict.UNKNOWN,
        says="How long the strike must be fed is not known: ask its maker's sheet.",
    )
    drop = finding(
        "SUP-02",
        Link.SUPPLY,
        Verdict.FAILS,
        "cable to larkfen/strike",
        says="10.64 V reach the strike; it needs 10.8 V.",
        because="24 m of 0.22 mm2 lose 1.36 V at 0.35 A.",
        value=10.64,
        limit=10.8,
        unit="V",
        margin=-0.16,
        doubt=0.05,
        remedies=(
            Remedy("0.5 mm2 instead", "11.4 V at the strike", (Change(("premises", "larkfen"), "0.5 mm2"),)),
            Remedy("a supply beside the strike"),
        ),
        sources=(CABLE, SHEET),
        subjects=(OutputRef("larkfen/R1/3"), DeviceRef("larkfen/strike")),
    )
    leaf = finding("DEV-01", Link.DEVICE, Verdict.HOLDS)
    rule = finding(
        "RULE-02",
        Link.RULE,
        Verdict.FAILS,
        "garden water",
        says="After a power cut the water would run.",
        remedies=(Remedy("choose a pulse output"),),
    )
    every = (fob, air, box, pulse, drop, leaf)
    return Assessment(
        job,
        "5f1c0a9be2d477aa0123456789abcdef",
        "0.1.0",
        (*every, rule),
        (
            chain(f"{person}: wicket from street", *every),
            chain(f"{person}: gate from street", fob, box, leaf, importance="should"),
        ),
    )


def chain(says: str, *findings: Finding, importance: str = "must") -> Chain:
    """A chain with one link for each kind among the findings, in the order of the kinds."""
    links = tuple(
        ChainLink(kind, worst(one.verdict for one in found), found)
        for kind in Link
        if (found := tuple(one for one in findings if one.link is kind))
    )
    return Chain(says, says, importance, links)
