"""What people write about a thing in free words, read for danger: a safety input, a machine, an emergency.

A name or a remark settles nothing; it only makes somebody ask. Words of the trade in the languages of the
papers, common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final

__all__ = [
    "CHOKES",
    "DANGER",
    "EMERGENCY",
    "HOLD_UP",
    "KEPT_ON",
    "MACHINE",
    "PUMP",
    "PUT_IN",
    "RESCUE",
    "SAFETY",
    "SMALL_DOOR",
    "SPRAYED",
    "WEATHER",
    "hours_said",
    "told",
]


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


SAFETY: Final = _words(
    """
    photocell photocells photo-cell photo-eye beam beams beamset light-barrier light-curtain safety edge
    safety-edge bumper e-stop estop emergency obstacle obstruction safeguard espe aopd pspe
    lichtschranke schaltleiste sicherheitsleiste kontaktleiste lichtgitter not-halt not-aus nothalt notaus
    cellule photocellule barre-palpeuse sécurité
    fotocel lichtsluis veiligheidslijst noodstop veiligheid
    fotokomórka listwa bezpieczeństwo
    fotocélula banda-de-seguridad seguridad
    fotocellula costa sicurezza
    """
)
"""Words for inputs that keep somebody from being hurt."""

MACHINE: Final = _words(
    """
    saw saws sawbench lathe grinder crusher shredder chipper conveyor auger baler mixer cutter slicer hoist
    crane winch pump oven furnace kiln stove heater sauna compressor generator turbine mower machine motor
    elevator ventilator fan sluice penstock platform leveller
    säge kreissäge bandsäge drehbank schleifer häcksler förderband schnecke mischer kran winde seilwinde
    hebezeug pumpe ofen heizung heizstrahler verdichter maschine
    scie broyeur convoyeur treuil grue pompe chauffage compresseur moteur
    zaag cirkelzaag lier takel pomp kachel transportband
    piła kruszarka przenośnik wciągarka pompa piec grzejnik maszyna silnik
    sierra trituradora grúa bomba horno calefactor máquina
    sega frantoio argano gru forno stufa macchina motore
    """
)
"""Words for things that take hold of somebody, burn or lift."""

EMERGENCY: Final = _words(
    """
    emergency ambulance paramedic rescue monitored lifesaving life-saving certified
    notruf rettungsdienst überwacht urgence ambulans noodoproep alarmcentrale ratunek pogotowie monitorowany
    emergencia ambulancia emergenza ambulanza
    """
)
"""Words that promise of a call for help what no radio fob keeps."""

DANGER: Final = _words(
    """
    lockdown lock-down lock-everything panic amok evacuate evacuation intruder attacker
    amoklauf amokalarm räumung räumungsalarm evakuierung confinement évacuation intrusion ontruiming
    ewakuacja evacuación evacuazione
    """
)
"""Words for what somebody presses in danger, when it must work at once and surely."""

HOLD_UP: Final = _words(
    "hold-up holdup robbery raid überfall überfallalarm hold-up-alarm atraco rapina napad"
)
"""Words for a call that whoever threatens must not notice."""

KEPT_ON: Final = _words(
    """
    stair stairs staircase stairwell stairway exit-light escape-light emergency-light freezer cold-room
    cold-store refrigerator fridge bilge bilge-pump sump sump-pump server server-room incubator aquarium
    respirator
    charger chargers battery-charger shore-power shore-lead shore-supply ladegerät treppe treppenhaus
    notlicht fluchtweg gefriertruhe kühlraum kühlhaus escalier congélateur
    chambre-froide trap trappenhuis vriezer koelcel schody zamrażarka chłodnia escalera congelador
    scala scale congelatore
    """
)
"""Words for what people walk by, or what spoils or floods, when it is without power."""

SMALL_DOOR: Final = _words(
    """
    wicket wicket-door pass-door walk-through walk-through-door man-door pedestrian-door schlupftür
    schlupftüre portillon loopdeur furtka puerta-peatonal portina
    """
)
"""Words for a small door in the leaf of a large one."""

SPRAYED: Final = _words(
    """
    sprinkler sprinklers sprinkle spray sprays sprayer jet jets mist misting fog-nozzle rain-gun snow-gun
    frost-water frost beregnung regner sprüher frostschutz asperseur arrosage sproeier beregening zraszacz
    aspersor irrigatore
    """
)
"""Words for water that flies through the air, and with the wind farther than it is meant to."""

RESCUE: Final = _words(
    """
    fire fire-lane fire-brigade fire-engine fire-access ambulance rescue appliance feuerwehr rettungsweg
    feuerwehrzufahrt pompiers sapeurs brandweer straż-pożarna bomberos vigili-del-fuoco
    """
)
"""Words for a way that vehicles of the rescue take."""

WEATHER: Final = _words(
    """
    wind storm gale gust rain hail snow frost smoke weather skylight vents
    sturm regen hagel schnee rauch wetter dachfenster lüftung dachlüftung tempête pluie gel fumée vorst rook
    wiatr deszcz mróz dym viento lluvia helada humo vento pioggia gelo fumo
    """
)
"""Words for what comes by itself, whether somebody has a fob at hand or not."""

PUMP: Final = _words("pump pumpe pompe pomp pompa bomba")
"""Words for what moves a liquid."""

PUT_IN: Final = _words(
    """
    fertiliser fertilizer feeding doser dosing dose chlorine chemical chemicals disinfectant pesticide
    detergent slurry additive dünger düngung dosierer chlor chemikalie desinfektion gülle engrais doseur
    chlore désinfectant meststof doseerpomp chloor nawóz dozownik chlor fertilizante cloro dosificador
    fertilizzante dosatore
    """
)
"""Words for what goes into water and must not come back to a tap."""

CHOKES: Final = _words(
    """
    co2 carbon-dioxide nitrogen n2 argon inert-gas dry-ice kohlendioxid kohlensäure stickstoff
    dioxyde azote kooldioxide stikstof azot dióxido nitrógeno anidride azoto
    """
)
"""Words for gases that take the breath and do not burn."""

_NO: Final = _words("no not never nor without kein keine nicht nie sans pas geen niet sin senza non")

_BEFORE: Final = 2
"""Words before one in which a "no" takes it back, as in "no certified emergency call"; our choice."""


def told(words: frozenset[str], *texts: str | None) -> str:
    """The first of some words that a text holds, whole and not denied; empty where there is none.

    Args:
        words: in small letters; one of several parts has hyphens between them.
        texts: names and remarks; None and empty ones say nothing.

    Example:
        >>> told(MACHINE, "contactor of the circular saw"), told(EMERGENCY, "no emergency call")
        ('saw', '')
    """
    return next((found for text in texts if text for found in _found(words, text)), "")


_HOURS: Final = re.compile(
    r"\b(?:from|after|before|until|till|between|at)\s+(?:[01]?\d|2[0-4])(?:[:.h]\d\d|\s?(?:am|pm|o'?clock|h)\b)"
    r"(?:\s*(?:-|to|and|until)\s*(?:[01]?\d|2[0-4])(?:[:.h]\d\d|\s?(?:am|pm|o'?clock|h))?)?"
    r"|\b(?:[01]?\d|2[0-4])[:.]\d\d\s*(?:-|–|to|until)\s*(?:[01]?\d|2[0-4])[:.]\d\d"
    r"|\bafter (?:dark|hours|closing|eight|nine|ten|six|seven|midnight)\b"
    r"|\b(?:at night|by night|by day|during the day|in the daytime)\b"
    r"|\b(?:opening hours|office hours|weekends?)\b",
    re.IGNORECASE,
)
"""How people say at which hours something shall count; English only, common practice, no source."""


def hours_said(*texts: str | None) -> str:
    """The first words in some texts that name hours; empty where none do.

    Example:
        >>> hours_said("gate", "only from 8:00 to 18:00"), hours_said("pulse of 4 s")
        ('from 8:00 to 18:00', '')
    """
    found = (_HOURS.search(text) for text in texts if text)
    return next((match.group(0) for match in found if match is not None), "")


def _found(words: frozenset[str], text: str) -> Iterable[str]:
    parts = [part for part in re.split(r"[^\w'-]+|_", text.casefold()) if part]
    for place, part in enumerate(parts):
        pair = f"{part}-{parts[place + 1]}" if place + 1 < len(parts) else ""
        hit = next((word for word in (pair, part, *part.split("-")) if word in words), "")
        if hit and not _NO.intersection(parts[max(0, place - _BEFORE) : place]):
            yield hit.replace("-", " ")
