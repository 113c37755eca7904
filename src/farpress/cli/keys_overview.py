"""The overview of `farpress keys`: its commands by what somebody wants to do."""

from __future__ import annotations

from typing import Final

import click

__all__ = ["SECTIONS", "Sections"]

SECTIONS: Final = {
    "Ask": {
        "search": "Fobs by whatever is known of them.",
        "who": "Rights by place, alarm area or function.",
        "history": "Everything recorded about one fob.",
        "due": "Deletions open, validity and time of names ended.",
        "check": "What does not fit together.",
        "verify": "Was an entry changed, moved or taken out?",
        "export": "The register as CSV or XLSX.",
    },
    "Fobs come and go": {
        "import": "Take over a list, or its good rows.",
        "undo-import": "Take that back.",
        "labels": "New labels with a check character.",
        "receive": "Take fobs into stock.",
        "issue": "Give a fob to a person or a pool.",
        "receipt": "The holder signed for it.",
        "rights": "Buttons of another group.",
        "copy-rights": "Rights at one premises given at another too.",
        "hand-in": "A fob came back.",
        "block": "It shall not work for a while.",
        "release": "It may work again.",
        "destroy": "It was destroyed.",
        "person": "People: add, left, forget.",
    },
    "At the receiver": {
        "learn": "A fob was learned.",
        "delete": "A fob was deleted, with evidence.",
        "heard": "Fobs worked just now.",
        "memory": "What it really holds, from a list read out.",
        "replace-receiver": "It was replaced.",
    },
    "After a loss": {
        "lost": "Record it; what to do, where to go first.",
        "plan": "The round as it stands now.",
        "found": "It turned up.",
    },
    "Plans": {
        "layout": "Which function on which button, proven.",
        "counters": "First presses that will be swallowed.",
        "waves": "Who comes when after a replacement.",
        "split": "Share tenants out over receivers, or merge.",
    },
}
"""Commands by what somebody wants to do, each in a few words for the overview."""


class Sections(click.Group):
    """An overview in sections instead of one long list."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """In the order of the sections; what stands in none of them comes last."""
        known = [name for section in SECTIONS.values() for name in section]
        return [*known, *sorted(set(self.commands) - set(known))]

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """A list for each section."""
        for title, commands in SECTIONS.items():
            with formatter.section(title):
                formatter.write_dl(list(commands.items()), col_max=20)
