"""What terminals a thing has, and how `THING.TERMINAL` is read and printed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farpress.domain.parts import DeviceSheet, PanelSheet, ReceiverSheet, SupplySheet
from farpress.domain.premises import Premises, Receiver
from farpress.domain.terminals import (
    CONTACT_TERMINALS,
    Sheets,
    Terminal,
    Terminals,
    device_terminals,
    junction_terminals,
    panel_terminals,
    premises_terminals,
    receiver_terminals,
    supply_terminals,
)
from farpress.errors import InputError


def _house(**rooms: object) -> Premises:
    return Premises.model_validate(rooms, by_alias=True, by_name=False)


def _receiver(**keys: object) -> Receiver:
    return Receiver.model_validate({"at": [0, 0], **keys}, by_alias=True, by_name=False)


@pytest.mark.parametrize(
    ("form", "names"),
    [
        ("changeover", ("1.common", "1.break", "1.make")),
        ("normally open", ("1.common", "1.make")),
        ("normally closed", ("1.common", "1.break")),
    ],
)
def test_an_output_has_the_terminals_of_its_form(form: str, names: tuple[str, ...]) -> None:
    """A contact that only makes has no break terminal, and the other way round."""
    sheet = ReceiverSheet(relays=1, supply="dc", contact_form=form)
    there = receiver_terminals("R1", sheet, _receiver())
    assert there.names == ("+", "0", *names, "tamper 1", "tamper 2")
    for name in set(CONTACT_TERMINALS["changeover"]) - {name.partition(".")[2] for name in names}:
        with pytest.raises(InputError, match=f"has no terminal '1.{name}'"):
            there.find(f"1.{name}")


def test_an_open_collector_has_one_terminal() -> None:
    """Its way back is the receiver's 0 V."""
    sheet = ReceiverSheet(relays=2, supply="dc", output_form="open collector", tamper_contact="none")
    assert receiver_terminals("R1", sheet, _receiver()).names == ("+", "0", "1.collector", "2.collector")


def test_a_receiver_fed_with_alternating_current_has_no_plus() -> None:
    """Its supply terminals are ~1 and ~2."""
    there = receiver_terminals(
        "R1", ReceiverSheet(relays=1, supply="ac", contact_form="changeover"), _receiver()
    )
    assert there.names[:2] == ("~1", "~2")
    with pytest.raises(InputError, match="has no terminal '\\+'"):
        there.find("+")


def test_what_takes_either_current_has_each_terminal_under_one_name() -> None:
    """`~1` and `+` are one terminal there: two names must not make two."""
    there = receiver_terminals("R1", ReceiverSheet(relays=1, supply="dc or ac"), _receiver())
    assert there.find("~1") == there.find("+") == Terminal("R1", "+")
    assert there.find("~2") == there.find("0") == Terminal("R1", "0")


def test_an_output_that_the_receiver_does_not_have_is_named_with_those_it_has() -> None:
    """Output 5 of a receiver with four."""
    there = receiver_terminals("R1", ReceiverSheet(relays=4, contact_form="changeover"), _receiver())
    with pytest.raises(InputError) as caught:
        there.find("5.common")
    assert str(caught.value) == (
        "'R1.5.common': R1, a receiver, has no terminal '5.common'; closest: '4.common', '3.common',"
        " '2.common'. It has: +, 0, 1.common, 1.break, 1.make, 2.common, 2.break, 2.make, 3.common, 3.break,"
        " 3.make, 4.common and 4 more."
    )


def test_an_interposing_relay_has_the_terminals_of_its_standard() -> None:
    """A1 and A2 the coil, 13 and 14 the make contact: numbers of EN 50005 and EN 50011."""
    box = _receiver(outputs={"2": {"kind": "toggle", "via": "relay-12v"}})
    there = receiver_terminals("R1", ReceiverSheet(relays=4, contact_form="changeover"), box)
    assert [str(there.find(f"2 relay.{number}")) for number in ("A1", "A2", "13", "14")] == [
        "R1.2 relay.A1",
        "R1.2 relay.A2",
        "R1.2 relay.13",
        "R1.2 relay.14",
    ]
    with pytest.raises(InputError):
        there.find("1 relay.A1")


def test_branches_of_a_supply_have_terminals_of_their_own() -> None:
    """`main.branch 2.+`; those of a transformer alternate."""
    sheet = SupplySheet(supply="dc")
    assert supply_terminals("main", sheet, ("1", "2")).names == (
        "+",
        "0",
        "branch 1.+",
        "branch 1.0",
        "branch 2.+",
        "branch 2.0",
    )
    assert supply_terminals("tr", SupplySheet(supply="ac"), ("1",)).names == (
        "~1",
        "~2",
        "branch 1.~1",
        "branch 1.~2",
    )
    unsaid = supply_terminals("main", SupplySheet(), ("1",))
    assert unsaid.find("branch 1.~2") == Terminal("main", "branch 1.0")


def test_an_input_and_an_output_of_one_name_are_told_apart() -> None:
    """A panel that is set by one and tells on the other that it is set."""
    sheet = PanelSheet.model_validate(
        {
            "inputs": {"set": {}, "unset": {}},
            "outputs": {"set": {"form": "relay"}, "alarm": {"form": "open collector"}},
        }
    )
    assert panel_terminals("alarm", sheet, ("3",)).names == (
        "+",
        "0",
        "set in",
        "set in common",
        "unset",
        "unset common",
        "zone 3",
        "zone 3 common",
        "set out",
        "set out common",
        "alarm",
    )


def test_a_device_with_a_supply_of_its_own_has_no_poles() -> None:
    """A gate's control takes a contact; its mains is not drawn."""
    sheet = DeviceSheet.model_validate({"supply": "potential-free", "inputs": {"start": {}}})
    there = device_terminals("gate", sheet, ("open end",))
    assert there.names == ("start", "start common", "open end 1", "open end 2")
    with pytest.raises(InputError, match="has no terminal '\\+'"):
        there.find("+")
    assert device_terminals("lamp", DeviceSheet(supply="mains")).names == ("L", "N")
    with pytest.raises(InputError, match="no terminal a core could end at"):
        device_terminals("gate", DeviceSheet.model_validate({"supply": "potential-free", "inputs": {}})).find(
            "+"
        )


def test_a_junction_has_as_many_terminals_as_are_used() -> None:
    """They are numbers from 1."""
    there = junction_terminals("J4")
    assert str(there.find("17")) == "J4.17"
    for wrong in ("0", "01", "+", "1000"):
        with pytest.raises(InputError):
            there.find(wrong)


def test_a_thing_of_a_longer_name_wins() -> None:
    """A receiver may have a dot in its name."""
    there = Terminals([junction_terminals("J"), junction_terminals("J.1")])
    assert there.find("J.1.2") == Terminal("J.1", "2")
    assert there.find("J.2") == Terminal("J", "2")


def test_a_name_of_two_things_is_asked_about() -> None:
    """A supply and a receiver may be called alike; a terminal of that name could be either's."""
    house = _house(supplies={"main": {}}, receivers={"main": {"at": [0, 0]}}, devices={"lamp": {}})
    with pytest.raises(InputError, match="'main' is a supply and a receiver of these premises"):
        premises_terminals(house).find("main.+")
    assert premises_terminals(house).find("lamp.+") == Terminal("lamp", "+")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("R1", "names a thing and no terminal of it; a core ends at one, written 'R1.\\+'"),
        ("gat.start", "nothing of these premises is called 'gat'; closest: 'gate'"),
        ("mill/R1.1.common", "A cable stays at its premises"),
        ("R1.9.common", "R1, a receiver, has no terminal '9.common'"),
        ("", "nothing of these premises is called ''"),
    ],
)
def test_a_wrong_terminal_says_what_there_is(text: str, says: str) -> None:
    """What was given, what is allowed, what to do."""
    house = _house(
        receivers={"R1": {"at": [0, 0], "relays": 2, "contact_form": "changeover"}},
        devices={"gate": {"supply": "potential-free", "inputs": {"start": {}}}},
    )
    with pytest.raises(InputError, match=says):
        premises_terminals(house).find(text)


def test_of_a_part_that_is_not_looked_up_no_terminal_is_refused_that_it_may_have() -> None:
    """The file alone does not know the catalogue's contact form; the filled sheet does."""
    house = _house(receivers={"R1": {"at": [0, 0], "part": "some-part"}}, devices={"gate": {"part": "drive"}})
    there = premises_terminals(house)
    assert str(there.find("R1.4.collector")) == "R1.4.collector"
    assert str(there.find("gate.start common")) == "gate.start common"
    sheets = Sheets(
        receivers={"R1": ReceiverSheet(relays=2, contact_form="changeover")},
        devices={"gate": DeviceSheet.model_validate({"supply": "potential-free", "inputs": {"open": {}}})},
    )
    known = premises_terminals(house, sheets)
    for wrong in ("R1.4.collector", "R1.3.common", "gate.start common"):
        with pytest.raises(InputError):
            known.find(wrong)


_NAMES = st.text(st.sampled_from("abR1 -_"), min_size=1, max_size=6).filter(lambda text: text == text.strip())


@given(
    name=_NAMES,
    relays=st.integers(1, 16),
    form=st.sampled_from([None, "changeover", "normally open", "normally closed"]),
    supply=st.sampled_from([None, "dc", "ac", "dc or ac"]),
    inputs=st.sets(st.integers(1, 16).map(str), max_size=3),
)
def test_every_terminal_reads_back_as_itself(
    name: str, relays: int, form: str | None, supply: str | None, inputs: set[str]
) -> None:
    """Printing a terminal and reading it gives the same terminal; no two print alike."""
    sheet = ReceiverSheet(relays=relays, contact_form=form, supply=supply)
    box = _receiver(inputs={number: {"reads": "alarm.set"} for number in inputs})
    thing = receiver_terminals(name, sheet, box)
    there = Terminals([thing, junction_terminals("J4")])
    assert [there.find(str(terminal)) for terminal in thing] == list(thing)
    assert len({str(terminal) for terminal in thing}) == len(thing.names)
