"""Sentences of caution that stand beside findings and on the papers, in our own words.

None of them replaces national wiring rules, fire and building law, machinery rules,
insurer and police requirements, or a licensed person's judgement.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

__all__ = ["CAUTIONS", "DECIDES", "DUTIES", "LOCAL_CODES", "caution"]

LOCAL_CODES: Final = "Local codes and licensed practice decide."
"""Ends every refusal."""

CAUTIONS: Final = MappingProxyType(
    {
        "general": (
            "This radio link is convenient, not certain: a press may be missed, delayed or blocked by other"
            " transmitters. Watch the thing you are moving until it has stopped."
        ),
        "gate": (
            "Press only when you see the whole opening and nobody is in it or about to walk into it. Keep"
            " children away from fob and gate. The push button by the gate and the hand release stay usable;"
            " learn where they are."
        ),
        "hold-to-run": (
            "It moves while you hold the button and should stop when you let go. If it runs on by more than a"
            " hand's width, stop using it and call us. The fob gives up by itself after about half a minute;"
            " that is not a fault."
        ),
        "automatic closing": (
            "This closes by itself. It is only as safe as its beams and edges: have them tested at the"
            " interval in the log book."
        ),
        "shutter": "Never use a shutter as a barrier in front of a fire exit. Do not work it while it is"
        " frozen.",
        "water": (
            "Water runs where you may not see it: look where it goes, and that nobody stands in it. Before"
            " frost the pipes are drained; a frozen valve is left alone."
        ),
        "frost": (
            "In frost, snow or storm a leaf may be frozen fast or run slowly: free it by hand first, never by"
            " pressing again and again."
        ),
        "machine": (
            "Start it only when you see the whole of it and nobody is at it. Before anybody works on it:"
            " switch it off at its own isolator, lock that and keep the key. The fob is no isolation:"
            " anybody's press starts it again."
        ),
        "winch": (
            "A hanging load: nobody stands under it or within reach of the rope. Press only while you see"
            " load and rope; let go when anything is odd. Before anybody works on it: lower the load, switch"
            " off and lock the isolator."
        ),
        "escape": (
            "Never use the fob as the way out. If the door does not open by hand from inside, call at once."
        ),
        "fire door": (
            "A fire door shuts by itself when the fire alarm calls, whatever a fob says. Never wedge it, and"
            " never let anything lie across the contact of the fire alarm."
        ),
        "power cut": (
            "During a power cut the radio does nothing. Afterwards each output behaves as the table of"
            " outputs says."
        ),
        "alarm": (
            "Setting and unsetting by radio is complete only when lamp or sounder tells you so. If you did"
            " not see or hear it, do not believe it. Tell your insurer that radio setting is in use."
        ),
        "call for help": (
            "This is a household call, not a certified emergency-call system. Its radio link is not"
            " monitored and"
            " nobody is obliged to answer. Test it every week."
        ),
        "lost fob": "A lost fob is a lost key: report it the same day with its label number.",
        "security": (
            "The codes change with each press, but somebody determined and equipped can still record, jam"
            " or copy"
            " signals. Do not rely on the fob alone for valuables."
        ),
        "fixed code": (
            "These fobs always send the same code; whoever records it can use it. Plan their replacement."
        ),
        "cell": (
            "Small batteries can kill a child. Close the lid, keep spares locked away, tape used cells. "
            "Swallowed? Go to hospital at once, do not wait for signs."
        ),
        "data": (
            "The register holds names. Say who keeps it, for what and until when, and whom to ask to see or"
            " correct an entry."
        ),
        "mains": (
            "Mains side: by a licensed electrician. Covers with this sign hide mains voltage; only a licensed"
            " person may open them."
        ),
        "safety input": (
            "Radio is never a safety function: no beam, edge, emergency stop or release of a trapped"
            " person may"
            " depend on a press being heard."
        ),
        "deference": (
            "National wiring rules, fire and building law, machinery rules, insurer and police"
            " requirements come"
            " before this document. Ask the competent authority where they differ."
        ),
    }
)
"""What it is about → the sentence."""

DUTIES: Final = MappingProxyType(
    {
        "machine": (
            "The machine as assembled needs its own assessment; somebody must be the responsible person"
            " for it."
        ),
        "electrical test": "The licensed person signs the electrical test.",
        "escape": "The fire authority approves locks on escape routes.",
        "alarm": "The alarm company approved for these premises signs changes at the panel.",
        "register": "Whoever keeps the register answers for it.",
    }
)
"""Whose duty something is → the sentence to print beside a decision."""


DECIDES: Final = MappingProxyType(
    {
        "mains": "licensed electrician",
        "alarm": "alarm company approved for these premises",
        "machine": "person responsible for the machine",
        "escape": "fire authority, and the door's maker",
        "call": "whoever answers the call, by name",
        "firm": "installer",
        "register": "whoever keeps the register, by name",
        "general": "installer, and whoever the finding names",
    }
)
"""Kind of danger → who decides about it and does the work."""

_OF: Final = {
    "mains": "mains",
    "alarm": "alarm",
    "escape": "escape",
    "gate": "machine",
    "hold-to-run": "machine",
    "automatic closing": "machine",
    "shutter": "machine",
    "machine": "machine",
    "winch": "machine",
    "frost": "machine",
    "safety input": "machine",
}
"""Subject of a caution → kind of danger, where one person decides."""


def caution(about: str) -> str:
    """The sentence of caution on a subject, followed by whose word decides, by name where it is one person's.

    Raises:
        KeyError: no such subject; `CAUTIONS` lists them.
    """
    who = _OF.get(about)
    named = f" The {DECIDES[who].partition(',')[0]} decides, by local codes." if who else f" {LOCAL_CODES}"
    return f"{CAUTIONS[about]}{named}"
