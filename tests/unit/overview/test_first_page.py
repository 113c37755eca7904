"""The first page: everything that fails stands on it once, the gravest first, and it fits a screen."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farpress.case.door import open_job
from farpress.cli.first_page_text import first_page_text
from farpress.domain.finding import Ask, Assessment, Finding, Link, Remedy, Stake, Verdict, Who
from farpress.domain.refs import DeviceRef, OutputRef, PanelRef, ReceiverRef, RuleRef, ZoneRef
from farpress.errors import InputError
from farpress.judging.assess import assess
from farpress.judging.registry import all_checks
from farpress.overview.concerns import concerns_of
from farpress.overview.headlines import HEADLINES, figures
from farpress.overview.page import FirstPage, first_page
from farpress.overview.search import findings_about
from helpers.assessments import chain, finding, small_assessment

EXAMPLES = Path(__file__).parents[3] / "examples"
PROMISES = {"larkfen-house": 32, "tallowmere-court": 18, "brindlemark": 25}


@pytest.fixture(scope="module")
def house() -> Assessment:
    """The house judged."""
    return assess(open_job(EXAMPLES / "larkfen-house"))


def failing(code: str, output: str, **more: object) -> Finding:
    """A finding on an output that would have to change."""
    ref = OutputRef(output)
    given: dict[str, object] = {"about": output, "subjects": (ref,), "cause": ref, **more}
    about = str(given.pop("about"))
    return finding(code, Link.CONTACT, Verdict.FAILS, about, **given)  # type: ignore[arg-type]


def of(*findings: Finding) -> FirstPage:
    """A page of findings without promises."""
    return first_page(Assessment("Job", "0" * 32, "0.1.0", findings, ()))


@pytest.mark.long
@pytest.mark.parametrize("job", sorted(PROMISES))
def test_every_fault_stands_on_the_page_once(job: str) -> None:
    """Findings that fail are in one concern each; promises in one row each; questions stand once."""
    assessment = assess(open_job(EXAMPLES / job))
    page = first_page(assessment)
    shown = [finding.identity for concern in page.concerns for finding in concern.findings]
    failed = [
        finding.identity
        for finding in assessment.findings
        if finding.verdict is Verdict.FAILS or finding.halts
    ]

    assert sorted(map(str, shown)) == sorted(map(str, failed))
    assert [concern.number for concern in page.concerns] == list(range(1, len(page.concerns) + 1))
    assert sorted(name for row in page.rows for name in row.ids) == sorted(c.id for c in assessment.promises)
    assert len({(question.says, question.who) for question in page.ask}) == len(page.ask)
    assert sum(page.promises.values()) == PROMISES[job]


@pytest.mark.parametrize(
    ("job", "most"), [("larkfen-house", 60), ("tallowmere-court", 64), ("brindlemark", 64)]
)
def test_it_fits_a_screen(job: str, most: int) -> None:
    """At 80 columns a house fits 60 lines, and no line is longer."""
    case = open_job(EXAMPLES / job)
    lines = first_page_text(first_page(assess(case)), job=job).split("\n")

    assert len(lines) <= most
    assert max(map(len, lines)) <= 80


def test_fifty_promises_fit_a_hundred_lines(tmp_path: Path) -> None:
    """The house with everything promised from everywhere: fifty in all, each in one row."""
    text = (EXAMPLES / "larkfen-house" / "job.yaml").read_text(encoding="utf-8")
    head = "promises:\n"
    wishes = (
        "parents, function: open gate",
        "cleaner, function: wicket",
        "gardener, function: wicket",
        "odetta, function: open gate walk",
        "tavi, function: path lights",
        "key holder, function: path lights",
    )
    promised = "".join(
        f"  - {{to: {wish}, from: {place}}}\n" for wish in wishes for place in ("terrace", "garden", "drive")
    )
    (tmp_path / "job.yaml").write_text(text.replace(head, head + promised), encoding="utf-8")
    page = first_page(assess(open_job(tmp_path)))
    lines = first_page_text(page, job="job").split("\n")

    assert sum(page.promises.values()) == 50
    assert len(lines) <= 100
    assert max(map(len, lines)) <= 80


def test_what_can_hurt_comes_before_what_does_not_work() -> None:
    """A barred finding stops first, then harm; a promise is mended before wear."""
    page = of(
        failing("CON-06", "h/R1/1", stake=Stake.WEAR),
        failing("OUT-03", "h/R1/2", stake=Stake.PROMISE),
        failing("SUP-05", "h/R1/3", stake=Stake.HARM),
        failing("CON-05", "h/R1/4", stake=Stake.HARM, bars=True),
    )

    assert [concern.codes[0] for concern in page.stop] == ["CON-05", "SUP-05"]
    assert [concern.codes[0] for concern in page.mend] == ["OUT-03", "CON-06"]
    assert [concern.barred for concern in page.stop] == [True, False]


def test_one_check_at_many_outputs_is_one_point() -> None:
    """Three contacts with too little current are one line with their range."""
    page = of(
        *(
            failing("CON-04", f"h/R1/{number}", value=number / 1000, limit=0.01, unit="A", margin=-0.005)
            for number in (2, 3, 4)
        )
    )

    assert len(page.mend) == 1
    assert page.mend[0].says("CON-04") == "too little current for the contact: 2 to 4 mA, needs 10"


def test_checks_with_one_cause_are_one_point() -> None:
    """A toggling output whose pulse is too short is one thing to change; another output is another."""
    page = of(failing("OUT-02", "h/R1/4"), failing("PAN-01", "h/R1/4"), failing("OUT-03", "h/R1/5"))

    assert [concern.codes for concern in page.mend] == [("OUT-02", "PAN-01"), ("OUT-03",)]


def test_what_can_hurt_is_told_and_what_does_not_work_may_be_counted() -> None:
    """Of one thing: three dangers in words, on as many lines as they need; what is no danger is counted."""
    codes = {"DEV-03": Stake.HARM, "DEV-56": Stake.HARM, "SAFE-57": Stake.HARM, "CON-01": Stake.PROMISE}
    page = of(*(failing(code, "h/R/1", stake=stake) for code, stake in codes.items()))
    told = " ".join(line.strip() for line in first_page_text(page, job="job").split("\n"))

    assert HEADLINES["DEV-56"] in told
    assert HEADLINES["SAFE-57"] in told
    harmless = of(*(failing(code, "h/R/1", stake=Stake.PROMISE) for code in codes))
    assert "; +" in first_page_text(harmless, job="job")


def test_one_remedy_for_two_checks_is_one_point_only_where_they_share_a_cause() -> None:
    """The same words at another output are another piece of work, unless one check holds them together."""
    relay = (Remedy("Let a contactor switch it."),)
    apart = of(failing("CON-01", "h/R1/1", remedies=relay), failing("CON-02", "h/R1/2", remedies=relay))
    shared = of(
        failing("CON-01", "h/R1/1", remedies=relay),
        failing("CON-01", "h/R1/2", remedies=relay),
        failing("CON-02", "h/R1/2", remedies=relay),
    )

    assert len(apart.mend) == 2
    assert len(shared.mend) == 1


def test_advice_for_one_of_several_says_that_the_others_differ() -> None:
    """Two contacts with two remedies are one concern; the first is not passed off as the cure of both."""
    here, there = (Remedy("At most 20 m.", "10.2 V"),), (Remedy("At most 9 m.", "10.2 V"),)
    differ = of(failing("SUP-01", "h/R1/1", remedies=here), failing("SUP-01", "h/R1/2", remedies=there))
    same = of(failing("SUP-01", "h/R1/1", remedies=here), failing("SUP-01", "h/R1/2", remedies=here))

    assert differ.mend[0].advice() == "At most 20 m: 10.2 V. The others differ."
    assert same.mend[0].advice(with_effect=False) == "At most 20 m."
    assert of(failing("SUP-01", "h/R1/1")).mend[0].advice() == ""


def test_one_remedy_at_one_door_is_one_point_whatever_found_it() -> None:
    """A check of the door, whose cause is the door, and the customer's rule, whose cause is the output."""
    door = DeviceRef("a/door")
    way_out = (Remedy("A way out that opens by hand"),)
    found = failing("DEV-04", "a/R1/1", cause=door, subjects=(door,), remedies=way_out)
    rule = failing("RULE-14", "a/R1/1", subjects=(OutputRef("a/R1/1"), door), remedies=way_out)
    other = DeviceRef("a/gate")
    elsewhere = failing("RULE-14", "a/R1/2", subjects=(OutputRef("a/R1/2"), other), remedies=way_out)
    halting = [replace(one, verdict=Verdict.UNKNOWN, halts=True) for one in (found, rule)]

    assert [concern.codes for concern in of(found, rule).mend] == [("DEV-04", "RULE-14")]
    assert len(of(found, elsewhere).mend) == 2
    assert [concern.codes for concern in of(*halting).stop] == [("DEV-04", "RULE-14")]


def test_few_receivers_are_mended_one_by_one_and_many_together() -> None:
    """Reach at two receivers needs two aerials; at six it is one line."""

    def heard(number: int) -> Finding:
        box = ReceiverRef(f"h/R{number}")
        return finding("AIR-01", Link.AIR, Verdict.FAILS, f"p{number}", subjects=(box,), cause=box)

    assert len(of(*map(heard, range(2))).mend) == 2
    assert len(of(*map(heard, range(6))).mend) == 1


@pytest.mark.parametrize(
    ("value", "limit", "margin", "unit", "says"),
    [
        (9.972, 10.2, -0.228, "V", "9.97 V, needs 10.2"),
        (10.196, 10.2, -0.004, "V", "10.196 V, needs 10.2"),
        (176.0, 20.0, -156.0, "A", "176 A, at most 20"),
        (0.3, 0.4, -0.1, "s", "300 ms, needs 400"),
        (0.335, 2.1, -1.7, "A", "335 mA, needs 2.1 A"),
        (230.0, 24.0, None, "V", "230 V, at most 24"),
        (1256.0, 1000.0, -256.0, "records", "1,256 records, at most 1,000"),
        (None, 24.0, None, "V", ""),
    ],
)
def test_figures_say_which_side_of_the_limit_is_good(
    value: float | None, limit: float, margin: float | None, unit: str, says: str
) -> None:
    """From value and margin; the unit stands once where it is the same."""
    one = finding("X", Link.SUPPLY, Verdict.FAILS, value=value, limit=limit, margin=margin, unit=unit)

    assert figures([one]) == says


@pytest.mark.parametrize(
    ("years", "says"),
    [(0.5, "6 months, needs 12"), (2.9, "2.9 years, needs 3"), (0.99, "11.9 months, needs 12")],
)
def test_less_than_three_years_are_told_in_months(years: float, says: str) -> None:
    """Nobody says half a year as 0.511 years."""
    limit = 3.0 if years > 1 else 1.0
    found = failing("FOB-04", "h/R1/1", value=years, limit=limit, unit="years", margin=years - limit)

    assert figures((found,)) == says


def test_a_rule_comes_back_in_the_customer_s_words() -> None:
    """What the job file says of a rule stands on the page in place of our phrase."""
    broken = finding("RULE-01", Link.RULE, Verdict.FAILS, "rule 1", subjects=(RuleRef("1"),))
    job = Assessment("Job", "0" * 32, "0.1.0", (broken,), ())

    assert "never both gates" in first_page_text(
        first_page(replace(job, words={RuleRef("1"): "never both gates"})), job="j"
    )
    assert "two things on at once" in first_page_text(first_page(job), job="j")


def test_a_rule_is_called_a_rule_and_not_by_its_number_alone() -> None:
    """Nobody on the telephone knows what "7" is."""
    broken = failing("RULE-12", "rule 7, never kept after leaving longer than", cause=RuleRef("7"))
    text = first_page_text(of(broken), job="j")

    assert " 1 rule 7: data kept too long" in text


def test_equal_questions_stand_once_and_their_minutes_count_once() -> None:
    """Two findings wait for one fact of five minutes."""
    ask = Ask("Read the label.", Who.LABEL, 5.0)
    page = of(
        *(finding("KNOW-01", Link.FOB, Verdict.UNKNOWN, name, asks=(ask,)) for name in ("fob A", "fob B"))
    )

    assert [(question.says, question.about) for question in page.ask] == [
        ("Read the label.", ("fob A", "fob B"))
    ]
    assert page.minutes == 5.0


def test_every_check_has_its_words() -> None:
    """No code stands on the page; a phrase for a check that is gone is not kept."""
    assert set(HEADLINES) == set(all_checks())
    assert len(set(HEADLINES.values())) >= len(HEADLINES) - 1


@pytest.mark.parametrize(
    ("wanted", "codes"),
    [
        ("air-03", {"AIR-03"}),
        ("R2/2", {"CON-01", "CON-02", "CON-05"}),
        ("larkfen/R2/2", {"CON-01", "CON-02", "CON-05"}),
        ("bathroom", {"AIR-01"}),
        ("kitchen", {"CON-04"}),
    ],
)
def test_one_thing_is_found_by_what_a_person_calls_it(
    house: Assessment, wanted: str, codes: set[str]
) -> None:
    """By code, by output with or without its premises, by the place of a promise."""
    found = findings_about(wanted, first_page(house), house)

    assert codes <= {finding.code for finding in found}
    assert [finding.verdict.rank for finding in found] == sorted(
        (finding.verdict.rank for finding in found), reverse=True
    )


def test_a_number_of_the_page_is_its_point(house: Assessment) -> None:
    """Number 1 explains what stands as number 1, and no more."""
    page = first_page(house)

    assert {f.identity for f in findings_about("1", page, house)} == {
        f.identity for f in page.concerns[0].findings
    }


def test_what_is_not_there_is_told_with_what_is(house: Assessment) -> None:
    """A slip of the hand is answered with the closest names and what may be asked."""
    with pytest.raises(InputError, match=r"'bathrom'; closest: 'bathroom'.*number from 1 to \d+.*AIR-01"):
        findings_about("bathrom", first_page(house), house)


def test_the_page_does_not_depend_on_the_order_of_findings(house: Assessment) -> None:
    """The same findings in another order: the same page."""
    shuffled = list(house.findings)
    random.Random(7).shuffle(shuffled)
    text: Callable[[Assessment], str] = lambda judged: first_page_text(first_page(judged), job="j")  # noqa: E731

    assert text(replace(house, findings=tuple(shuffled))) == text(house)


def test_three_dots_of_a_plain_page_keep_within_the_columns() -> None:
    """A question that is cut ends with three signs there, with one elsewhere."""
    name = f"{31 * '0'} 00"
    asked = finding("KNOW-01", Link.FOB, Verdict.UNKNOWN, name, asks=(Ask(name),))
    for plain in (False, True):
        lines = first_page_text(of(asked), job="job", width=60, plain=plain).split("\n")
        assert max(map(len, lines)) <= 60


@pytest.mark.long
@pytest.mark.parametrize("plain", [False, True])
@given(name=st.text(max_size=90), width=st.integers(60, 140))
def test_any_name_keeps_within_the_columns(plain: bool, name: str, width: int) -> None:
    """No line is longer than the width, whatever things are called; no control character gets through."""
    one = finding("AIR-01", Link.AIR, Verdict.FAILS, name, says=name, remedies=(Remedy(name),))
    ask = finding("KNOW-01", Link.FOB, Verdict.UNKNOWN, name, asks=(Ask(name),))
    judged = Assessment(name, "0" * 32, "0.1.0", (one, ask), (chain(name, one),))
    lines = first_page_text(first_page(judged), job="job", width=width, plain=plain).split("\n")

    assert max(map(len, lines)) <= width
    assert not [sign for line in lines for sign in line if sign < " " or sign == "\x7f"]


def test_an_empty_job_says_so() -> None:
    """Nothing promised is not the same as everything in order."""
    text = first_page_text(first_page(Assessment("Empty", "0" * 32, "0.1.0", (), ())), job="j")

    assert "no promises yet" in text
    assert first_page(small_assessment()).concerns


def test_a_figure_stands_beside_the_thing_that_it_is_of() -> None:
    """A promise waits for the door and none for the shutters: their peak is not the door's."""
    peak = failing("CON-02", "h/R2/3", subjects=(OutputRef("h/R2/3"), DeviceRef("h/shutters")), value=24.0)
    door = failing("CON-03", "h/R1/4", subjects=(OutputRef("h/R1/4"), DeviceRef("h/door")))
    door = replace(door, cause=peak.cause)
    waits = replace(chain("all: side door from here", door), function="side door")
    (concern,) = concerns_of((peak, door), (waits,), {})

    assert concern.names[0] == "shutters"
    assert "side door" in concern.names


def test_what_is_not_known_and_could_hurt_stops_with_its_question() -> None:
    """It stands under stop, last, and says that it is not ruled out; another open question does not."""
    look = Ask("Look at GA for beams.", Who.INSTALLER, 15.0)
    gate = DeviceRef("h/GA")
    open_ = {"subjects": (gate,), "cause": gate, "stake": Stake.HARM, "asks": (look,)}
    waits = finding("DEV-03", Link.DEVICE, Verdict.UNKNOWN, "h/GA", halts=True, **open_)
    asked = finding("DEV-04", Link.DEVICE, Verdict.UNKNOWN, "h/GA", **open_)
    page = of(asked, waits, failing("SUP-05", "h/R1/1", stake=Stake.HARM))

    assert [concern.codes[0] for concern in page.stop] == ["SUP-05", "DEV-03"]
    assert page.stop[1].told == ("not ruled out: closes unseen without safeguards",)
    assert page.stop[1].advice() == "Look at GA for beams."
    assert not page.mend


def test_matters_of_two_trades_are_two_points_even_at_one_output() -> None:
    """A contact that films over is not mended with the input it works; a panel is many things."""
    alarm, zone = PanelRef("h/alarm"), ZoneRef("h/alarm/zone 3")
    page = of(
        failing("CON-04", "h/R1/1"),
        finding("OUT-07", Link.OUTPUT, Verdict.FAILS, "h/R1/1", cause=OutputRef("h/R1/1")),
        finding("PAN-16", Link.PANEL, Verdict.FAILS, "aux", subjects=(alarm,), cause=alarm),
        finding("PAN-20", Link.PANEL, Verdict.FAILS, "area", subjects=(alarm,), cause=alarm),
        finding("PAN-23", Link.PANEL, Verdict.FAILS, "zone", subjects=(alarm, zone), cause=zone),
    )

    assert sorted(concern.codes for concern in page.mend) == [
        ("CON-04",),
        ("OUT-07",),
        ("PAN-16",),
        ("PAN-20",),
        ("PAN-23",),
    ]
    assert [concern.names for concern in page.mend if concern.codes == ("PAN-23",)] == [("zone 3",)]


def test_one_question_about_equal_things_is_asked_once() -> None:
    """Three inputs of one panel are read off one label; the gravest question of an answerer comes first."""
    reads = [
        finding(
            "CON-04",
            Link.CONTACT,
            Verdict.UNKNOWN,
            name,
            asks=(Ask(f"Read the current of {name} off its data sheet.", Who.LABEL, 3.0),),
            stake=Stake.WEAR,
        )
        for name in ("panel.A", "panel.B", "panel.C")
    ]
    held = Ask("Find how long a start contact may be held.", Who.LABEL, 3.0)
    page = of(*reads, finding("OUT-01", Link.OUTPUT, Verdict.UNKNOWN, "h/R1/1", asks=(held,)))

    assert [(question.says, question.minutes) for question in page.ask] == [
        ("Find how long a start contact may be held.", 3.0),
        ("Read the current of panel.A, panel.B and panel.C off its data sheet.", 7.0),
    ]
