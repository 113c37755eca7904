"""Words that stand in the templates: heads, boxes, lines to sign, in the language of a paper."""

from __future__ import annotations

from farpress.papers.typesetting.texts import Texts

__all__ = ["fixed_words"]


def fixed_words(texts: Texts) -> dict[str, str]:
    """Name in the templates → word or sentence; the same for every template."""
    say = texts.say
    return {
        "colon": texts.colon,
        "page": say("page"),
        "of": say("of"),
        "issue": say("issue"),
        "job": say("job"),
        "paper": say("paper"),
        "dated": say("issue and date"),
        "prepared": say("prepared by"),
        "installer": say("installer"),
        "fingerprint": say("job fingerprint"),
        "made": say("made with"),
        "card": say("User card"),
        "name": say("Name"),
        "date": say("date"),
        "signature": say("signature"),
        "label": say("Label"),
        "fob": say("Your fob"),
        "where": say("Stand"),
        "tells": say("It has worked when"),
        "caution": say("Caution"),
        "lost": say("Lost?"),
        "nothing": say("Nothing happens?"),
        "cell": say("Cell"),
        "power": say("After a power cut"),
        "missing": say("Not known yet"),
        "missing_field": say("missing"),
        "missing_fields": say("Missing fields"),
        "missing_none": say("none. Every field of this paper that should be known is filled in."),
        "missing_do": say("find out, enter in the job, print anew."),
        "done": say("done"),
        "not_done": say("not done"),
        "sources": say("Where the figures come from"),
        "source": say("source, and how we know"),
        "number": say("no."),
        "unsure": say(
            "from memory and not checked against the document, or, where the line says so, our own choice or"
            " common practice: check it before you rely on the figure."
        ),
        "holds": say("holds"),
        "thin": say("thin"),
        "unknown": say("unknown"),
        "fails": say("fails"),
        "alt": say("QR code of the label {label}"),
    }
