"""Kinds of devices and of outputs, each a row with its traits: what a kind means stands here alone.

A new kind is a row here and a word in the model of the sheet. Everything else asks for a trait, as
`device_kind("bollard").is_leaf`, and never for a name.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

__all__ = [
    "DEVICE_KINDS",
    "OUTPUT_KINDS",
    "UNSAID_KIND",
    "DeviceKind",
    "DrawnMark",
    "OutputKind",
    "device_kind",
    "kind_called",
    "output_kind",
]

DrawnMark = Literal["lamp", "sounder"]
"""How a terminal plan draws a device that has a mark of its own."""


@dataclass(frozen=True)
class DeviceKind:
    """One kind of driven device.

    Attributes:
        name: as in a job file.
        words: other words by which people call it, in a survey or a complaint.
        moves: by power.
        is_leaf: a heavy leaf that can crush, shear or lift somebody.
        rises: it shuts the way by going up, as a bollard does; everything else by coming down.
        turns: on hinges or a pivot; its edge goes round, and the angle must be known.
        can_crush: somebody can be caught at its closing edge; leaves, shutters and windows.
        can_fall: comes down by its weight where a spring, rope or brake breaks; common practice.
        rolls: a leaf on wheels or a rail, that runs off by itself where the ground is not level.
        is_lock: holds a door, and lets it go.
        is_magnet: holds while current flows, and so draws at rest.
        is_load: the contact itself feeds it; on as long as the contact is closed.
        draws_at_rest: False: nothing until it is worked; None: not told by its kind; common practice.
        lets_in: somebody can come in where it is opened.
        is_way: somebody may want to leave through it.
        shuts_a_way: people leave on foot through it, or through the door that it holds.
        feeds_more: what hangs on it may heat or move.
        passes_vehicles: a lane leads through it.
        watched_vehicles: stands or falls with what notices a vehicle; nobody is under it otherwise.
        runs_water, makes_sound: what it lets run or sound.
        pumps: it moves a liquid itself, and suffers where it runs dry or against what is shut.
        may_pump: it may be what moves a liquid, or puts something into it.
        lets_weather_in: rain, wind and smoke come in, or go out, where it stands open.
        calls_help: somebody waits for whoever hears it.
        gives_light: one sees that it is on.
        directs: drivers do what it shows, so that two ways on green meet.
        holds_open: a door that has to shut in a fire; current holds it, and without current it shuts.
        in_the_way_of: kinds that it may strike where both hang side by side; common practice.
        fears_wind: has to be taken in before a gust tears it off.
        hurts: what it does to somebody at it when it is started; empty where a start hurts nobody.
        stays_live: somebody works on it in the belief that it is off, so that a switch by radio kills.
        is_unsaid: nobody can tell from its kind whether it hurts.
        starts_unseen: dangerous when it starts by itself or unseen: it moves, waters or sounds.
        lifts: a load hangs on it that must stop when the button is let go.
        may_lift_people: somebody may stand on it while it goes up.
        not_toggled: what a toggle on it is refused for; empty where it may be toggled.
        cautions: keys of `CAUTIONS` that stand on papers about it.
        closing_caution: the one where a press, and not time, closes it.
        mark: on a terminal plan.
        moves_air: people may breathe what it clears, or fails to clear.
    """

    name: str
    words: tuple[str, ...] = ()
    moves: bool = False
    is_leaf: bool = False
    rises: bool = False
    turns: bool = False
    can_crush: bool = False
    can_fall: bool = False
    rolls: bool = False
    is_lock: bool = False
    is_magnet: bool = False
    is_load: bool = False
    draws_at_rest: bool | None = None
    lets_in: bool = False
    is_way: bool = True
    shuts_a_way: bool = False
    feeds_more: bool = False
    passes_vehicles: bool = False
    watched_vehicles: bool = False
    runs_water: bool = False
    pumps: bool = False
    may_pump: bool = False
    lets_weather_in: bool = False
    may_lift_people: bool = False
    makes_sound: bool = False
    calls_help: bool = False
    gives_light: bool = False
    directs: bool = False
    holds_open: bool = False
    in_the_way_of: tuple[str, ...] = ()
    fears_wind: bool = False
    hurts: str = ""
    stays_live: bool = False
    is_unsaid: bool = False
    not_toggled: str = ""
    cautions: tuple[str, ...] = ()
    closing_caution: str = "gate"
    mark: DrawnMark | None = None
    moves_air: bool = False

    @property
    def opens_overhead(self) -> bool:
        """Whether its leaf goes up over what drives or walks through, and stands there."""
        return self.is_leaf and self.can_fall and not self.turns

    @property
    def starts_unseen(self) -> bool:
        """Whether it must not start by itself after a power cut, or unseen."""
        acts = self.moves or self.runs_water or self.makes_sound or self.directs
        return acts or bool(self.hurts) or self.is_unsaid

    @property
    def lifts(self) -> bool:
        """Whether a load hangs on it, so that it may run only while somebody holds the button."""
        return self.can_fall and bool(self.hurts)

    @property
    def shutting_way(self) -> str:
        """The direction in which it shuts."""
        return "up" if self.rises else "down"

    @property
    def opening_way(self) -> str:
        """The direction in which it opens."""
        return "down" if self.rises else "up"

    @property
    def frees_on_press(self) -> bool:
        """Whether any press on it lets somebody in: a lock, or a wicket that only unlocks."""
        return self.lets_in and not self.moves


def _leaf(
    name: str,
    *words: str,
    cautions: tuple[str, ...] = ("gate", "frost"),
    can_fall: bool = False,
    passes_vehicles: bool = False,
    watched_vehicles: bool = False,
    shuts_a_way: bool = False,
    turns: bool = False,
    rises: bool = False,
    rolls: bool = False,
) -> DeviceKind:
    return DeviceKind(
        name,
        words,
        moves=True,
        is_leaf=True,
        rises=rises,
        turns=turns,
        can_crush=True,
        can_fall=can_fall,
        rolls=rolls,
        lets_in=True,
        shuts_a_way=shuts_a_way,
        passes_vehicles=passes_vehicles,
        watched_vehicles=watched_vehicles,
        not_toggled=f"a {name}" if watched_vehicles else "",
        cautions=cautions,
    )


def _screen(
    name: str,
    *words: str,
    cautions: tuple[str, ...] = ("general",),
    can_crush: bool = False,
    can_fall: bool = False,
    is_way: bool = True,
    in_the_way_of: tuple[str, ...] = (),
    lets_weather_in: bool = False,
) -> DeviceKind:
    return DeviceKind(
        name,
        words,
        moves=True,
        lets_weather_in=lets_weather_in,
        can_crush=can_crush,
        can_fall=can_fall,
        lets_in=can_crush,
        is_way=is_way,
        in_the_way_of=in_the_way_of,
        cautions=cautions,
        closing_caution="shutter" if can_fall else "gate",
    )


def _machine(
    name: str,
    *words: str,
    hurts: str,
    caution: str = "machine",
    moves: bool = False,
    can_fall: bool = False,
    pumps: bool = False,
    may_pump: bool = False,
    may_lift_people: bool = False,
    in_the_way_of: tuple[str, ...] = (),
    moves_air: bool = False,
) -> DeviceKind:
    return DeviceKind(
        name,
        words,
        moves=moves,
        in_the_way_of=in_the_way_of,
        may_lift_people=may_lift_people,
        pumps=pumps,
        may_pump=may_pump or pumps,
        is_load=not moves,
        can_fall=can_fall,
        is_way=False,
        hurts=hurts,
        stays_live=True,
        not_toggled=f"{'an' if name[0] in 'aeiou' else 'a'} {name}",
        cautions=(caution,),
        moves_air=moves_air,
    )


_ROWS: Final = (
    _leaf("sliding gate", "gate", passes_vehicles=True, rolls=True),
    _leaf("swing gate", "gate", passes_vehicles=True, turns=True),
    DeviceKind(
        "wicket", ("pedestrian gate",), is_load=True, lets_in=True, shuts_a_way=True, cautions=("escape",)
    ),
    _leaf("door", "front door", cautions=("escape",), shuts_a_way=True, turns=True),
    _leaf("garage door", "garage", can_fall=True),
    _leaf("barrier", "boom", can_fall=True, passes_vehicles=True, watched_vehicles=True, turns=True),
    _leaf("bollard", "post", passes_vehicles=True, watched_vehicles=True, rises=True),
    _leaf("lifting gate", "vertical gate", can_fall=True, passes_vehicles=True),
    _leaf("grille", "roller grille", cautions=("gate", "shutter"), can_fall=True, passes_vehicles=True),
    _screen("shutter", "blind", "blinds", cautions=("shutter",), can_crush=True, can_fall=True),
    _screen("window", "skylight", can_crush=True, in_the_way_of=("shutter",), lets_weather_in=True),
    _screen("curtain", "drape", is_way=False),
    _screen("screen", "projection screen", cautions=("shutter",), is_way=False, in_the_way_of=("curtain",)),
    DeviceKind(
        "awning",
        ("sunshade", "sun sail"),
        moves=True,
        is_way=False,
        fears_wind=True,
        in_the_way_of=("shutter", "window", "door"),
        cautions=("general", "frost"),
    ),
    DeviceKind(
        "strike",
        ("lock",),
        is_lock=True,
        is_load=True,
        draws_at_rest=False,
        lets_in=True,
        shuts_a_way=True,
        cautions=("escape",),
    ),
    DeviceKind(
        "magnetic lock",
        ("magnet",),
        is_lock=True,
        is_magnet=True,
        is_load=True,
        draws_at_rest=True,
        lets_in=True,
        shuts_a_way=True,
        cautions=("escape",),
    ),
    DeviceKind(
        "hold-open magnet",
        ("door holder", "hold-open"),
        is_load=True,
        draws_at_rest=True,
        is_way=False,
        holds_open=True,
        cautions=("fire door",),
    ),
    DeviceKind(
        "valve",
        ("water", "tap"),
        is_load=True,
        draws_at_rest=False,
        is_way=False,
        runs_water=True,
        not_toggled="water",
        cautions=("water",),
    ),
    DeviceKind(
        "sluice",
        ("flood gate", "penstock"),
        moves=True,
        can_crush=True,
        is_way=False,
        runs_water=True,
        hurts="the water takes whoever stands below it, and its edge shears",
        stays_live=True,
        not_toggled="a sluice",
        cautions=("machine", "water"),
    ),
    DeviceKind(
        "contactor",
        ("relay",),
        is_load=True,
        draws_at_rest=False,
        is_way=False,
        feeds_more=True,
        cautions=("general",),
    ),
    DeviceKind(
        "lamp",
        ("light", "lights"),
        is_load=True,
        draws_at_rest=False,
        is_way=False,
        gives_light=True,
        cautions=("general",),
        mark="lamp",
    ),
    DeviceKind(
        "traffic light",
        ("signal light", "lane light"),
        is_load=True,
        draws_at_rest=False,
        is_way=False,
        gives_light=True,
        directs=True,
        not_toggled="a traffic light",
        cautions=("general",),
        mark="lamp",
    ),
    DeviceKind(
        "sounder",
        ("siren", "bell"),
        is_load=True,
        draws_at_rest=False,
        is_way=False,
        makes_sound=True,
        not_toggled="a sounder",
        cautions=("general",),
        mark="sounder",
    ),
    DeviceKind(
        "call",
        ("help", "call for help"),
        is_load=True,
        is_way=False,
        calls_help=True,
        cautions=("call for help",),
    ),
    _machine(
        "pump", "slurry pump", hurts="it draws in what is near it, and stirs gas out of a pit", pumps=True
    ),
    _machine("motor", "drive", hurts="it takes hold of clothes, hair and hands", may_pump=True),
    _machine("machine", "plant", hurts="it takes hold of whoever is at it"),
    _machine("heater", "heating", hurts="it burns whoever touches it, and what lies on it"),
    _machine("energiser", "electric fence", hurts="the fence is live at once, along its whole length"),
    _machine(
        "winch",
        "hoist",
        hurts="the load swings, or comes down on whoever stands below",
        caution="winch",
        moves=True,
        can_fall=True,
    ),
    _machine(
        "platform",
        "lift",
        "dock leveller",
        in_the_way_of=("door", "wicket", "garage door", "swing gate", "barrier"),
        hurts="it lifts, lowers or crushes whoever stands on it or under it",
        moves=True,
        can_fall=True,
        may_lift_people=True,
    ),
    _machine(
        "fan", "ventilator", "ventilation", hurts="its blades take hold of hands and clothes", moves_air=True
    ),
    DeviceKind(
        "pool cover",
        ("cover",),
        moves=True,
        can_crush=True,
        is_way=False,
        hurts="whoever is in the water comes under it and cannot get out",
        stays_live=True,
        not_toggled="a pool cover",
        cautions=("machine",),
    ),
    DeviceKind(
        "other", ("something else",), is_load=True, is_way=False, is_unsaid=True, cautions=("general",)
    ),
)

DEVICE_KINDS: Final[dict[str, DeviceKind]] = {row.name: row for row in _ROWS}
"""Every kind of device by its name in a job file."""

UNSAID_KIND: Final = DeviceKind("")
"""Stands for a panel, and for a device of which nobody says what it is: no trait is known of it."""

UNTOLD_KIND: Final = DeviceKind("", is_unsaid=True, cautions=("general",))
"""Stands for a device that is worked and of which nobody says what it is: it may be one that hurts."""


def device_kind(name: str | None) -> DeviceKind:
    """The row of a kind of device; `UNSAID_KIND` for None.

    Raises:
        KeyError: there is no such kind.

    >>> device_kind("strike").is_lock
    True
    """
    return UNSAID_KIND if name is None else DEVICE_KINDS[name]


def kind_called(word: str) -> DeviceKind | None:
    """The kind that people call so, in a job file or otherwise; None where none or several are called that.

    >>> kind_called("boom").name, kind_called("gate")
    ('barrier', None)
    """
    said = word.casefold().strip()
    if said in DEVICE_KINDS:
        return DEVICE_KINDS[said]
    called = [row for row in DEVICE_KINDS.values() if said in row.words]
    return called[0] if len(called) == 1 else None


@dataclass(frozen=True)
class OutputKind:
    """One kind of output: what its contact does in time.

    Attributes:
        name: as in a job file.
        called: in a sentence, "two-button latch".
        acts: continues "its contact ...": what a press does.
        drawn: on a drawing; empty where a length stands there instead.
        told: in a table of outputs, with the meaning of a press; empty where a length is told instead.
        ends_by_itself: off again without a further press.
        keeps_state: stays as it is until another press; asks how it stands after a power cut.
        wants_length: a time must be given with it.
        while_held: closed as long as the button is held.
        turns_round: each press changes it over, so that nobody knows its state from the press.
        has_two_buttons: one switches on, another off.
    """

    name: str
    called: str
    acts: str
    drawn: str = ""
    told: str = ""
    ends_by_itself: bool = False
    keeps_state: bool = False
    wants_length: bool = False
    while_held: bool = False
    turns_round: bool = False
    has_two_buttons: bool = False


OUTPUT_KINDS: Final[dict[str, OutputKind]] = {
    row.name: row
    for row in (
        OutputKind("pulse", "pulse output", "gives a pulse", ends_by_itself=True, wants_length=True),
        OutputKind(
            "toggle",
            "toggle output",
            "stays closed until the next press",
            "toggles",
            "toggle: each press changes it over",
            keeps_state=True,
            turns_round=True,
        ),
        OutputKind(
            "follow",
            "follow output",
            "is closed as long as the button is held",
            "while held",
            "follow: on while the button is held",
            ends_by_itself=True,
            while_held=True,
        ),
        OutputKind(
            "latch",
            "two-button latch",
            "stays closed until another button opens it",
            "on and off by two buttons",
            "two-button latch: one button switches it on, another off",
            keeps_state=True,
            has_two_buttons=True,
        ),
    )
}
"""Every kind of output by its name in a job file."""


def output_kind(name: str) -> OutputKind:
    """The row of a kind of output.

    Raises:
        KeyError: there is no such kind.

    >>> output_kind("latch").keeps_state
    True
    """
    return OUTPUT_KINDS[name]
