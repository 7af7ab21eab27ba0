"""What a piece's tags are, and whether they meet what a prompt asks for."""

from __future__ import annotations

import re
from typing import Any


def tags_of(text: Any) -> frozenset[str]:
    """The tags of a piece as written in pieces.csv: `a; b`. Capitals do not count.

    >>> sorted(tags_of("Bird; travel;one-colour"))
    ['bird', 'one-colour', 'travel']
    """
    return frozenset(re.split(r"[;,\s]+", _text(text).casefold())) - {""}


def needs_of(text: Any) -> list[frozenset[str]]:
    """What a prompt asks for as written in prompts.csv, as alternatives: `a b` both, `a; b` either. Empty: anything.

    >>> [sorted(need) for need in needs_of("river water; sea")], needs_of(" ")
    ([['river', 'water'], ['sea']], [frozenset()])
    """
    ways = [tags_of(way) for way in _text(text).split(";") if way.strip()]
    return ways or [frozenset()]


def meets(needs: Any, tags: Any) -> bool:
    """Whether a piece with these tags meets a prompt with these needs (both as written).

    >>> meets("river water; sea", "Sea; home"), meets("river water", "river")
    (True, False)
    """
    own = tags_of(tags)
    return any(way <= own for way in needs_of(needs))


def _text(value: Any) -> str:
    return "" if value is None or value != value else str(value)  # only NaN differs from itself
