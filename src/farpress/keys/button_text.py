"""Buttons of a fob in one cell of a list, and back: "1: open gate; 2: wicket + light"."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Final

__all__ = ["buttons_of_text", "buttons_text"]

_SIGNS: Final = (";", ":", "+", "{")


def buttons_text(buttons: Mapping[str, tuple[str, ...]]) -> str:
    """Buttons as people read them; as JSON where a name has one of the signs that part them.

    Example:
        >>> buttons_text({"1": ("open gate",), "2": ("wicket", "light")})
        '1: open gate; 2: wicket + light'
    """
    names = [name for button, functions in buttons.items() for name in (button, *functions)]
    if any(sign in name for name in names for sign in _SIGNS) or any(
        name != " ".join(name.split()) or not name for name in names
    ):
        return json.dumps(
            {button: list(functions) for button, functions in buttons.items()}, ensure_ascii=True
        )
    return "; ".join(f"{button}: {' + '.join(functions)}" for button, functions in buttons.items())


def buttons_of_text(text: str) -> dict[str, tuple[str, ...]]:
    """Buttons from a cell as `buttons_text` writes it.

    Raises:
        ValueError: it is no such text.

    Example:
        >>> buttons_of_text("1: open gate; 2: wicket + light")
        {'1': ('open gate',), '2': ('wicket', 'light')}
    """
    if text.startswith("{"):
        given = json.loads(text)
        if not all(
            isinstance(names, list) and all(isinstance(n, str) for n in names) for names in given.values()
        ):
            raise ValueError("buttons are a table of lists of names")
        return {str(button): tuple(names) for button, names in given.items()}
    buttons: dict[str, tuple[str, ...]] = {}
    for piece in filter(None, map(str.strip, text.split(";"))):
        button, colon, names = piece.partition(":")
        if not colon or not button.strip() or button.strip() in buttons:
            raise ValueError(f"'{piece}' is not a button, a colon and what it does")
        buttons[button.strip()] = tuple(name.strip() for name in names.split("+") if name.strip())
    return buttons
