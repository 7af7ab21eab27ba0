"""A fabric's count and measures and a chart's size, as people write them: `28ct over 2`, `18 in`, `150w x 200h`."""

from __future__ import annotations

import re

_NUMBER = r"([0-9]{1,6}(?:[.,][0-9]+)?)"
_COUNT = re.compile(_NUMBER + r"\s*-?(?:ct|count|hpi|tpi)?\.?\s*(?:,?\s*(?:over|o/|/)\s*(1|2|one|two))?\b.*\Z", re.I)
_MARKED = re.compile(r"(ct|count|hpi|tpi)\b", re.I)
_SIDE = r"([0-9]{1,3}(?:[,.' ][0-9]{3})+|[0-9]{1,6})\s*(?:stitches|sts?)?\s*"
_SIZE = re.compile(_SIDE + r"([wh])?(?:ide|igh)?\s*(?:[x×*]|by)\s*" + _SIDE + r"([wh])?(?:ide|igh)?(?![0-9.,])", re.I)
_UNITS = {"cm": 1.0, "mm": 0.1, "m": 100.0, "in": 2.54, "in.": 2.54, "inch": 2.54, "inches": 2.54, '"': 2.54, "″": 2.54}
_LENGTH = re.compile(
    rf"\s*([0-9][0-9., ]*?)\s*({'|'.join(sorted(map(re.escape, _UNITS), key=len, reverse=True))})\s*\Z", re.I
)
_LENGTHS = re.compile(r"\s*(?:cm|mm|in\b|inch|\"|″)", re.I)


def count_over(text: str) -> tuple[float, int | None] | None:
    """Threads or blocks an inch, and how many threads a stitch goes over where it says so; None where it says neither.

    >>> count_over("28ct over 2"), count_over("14 count"), count_over("linen")
    ((28.0, 2), (14.0, None), None)
    """
    found = _COUNT.match(text.strip())
    if not found:
        return None
    bare = found[0] == found[1] or found[2] or _MARKED.match(text.strip()[len(found[1]) :].lstrip(" -"))
    over = {"1": 1, "one": 1, "2": 2, "two": 2}.get((found[2] or "").casefold())
    return (float(found[1].replace(",", ".")), over) if bare else None


def length(text: str) -> tuple[str, float] | None:
    """The number that a length begins with, and its unit in centimetres; None where it names no unit.

    >>> length("18 in"), length("0.5 m"), length("45cm"), length("45")
    (('18', 2.54), ('0.5', 100.0), ('45', 1.0), None)
    """
    found = _LENGTH.match(text)
    return (found[1], _UNITS[found[2].casefold()]) if found else None


def size(text: str) -> tuple[float, float] | None:
    """Width and height in stitches; None where there is no such pair, or where it is a length in centimetres or inches.

    >>> size("150w x 200h"), size('150 x 200 (7.5" x 10")'), size("20 x 30 cm")
    ((150.0, 200.0), (150.0, 200.0), None)
    """
    found = _SIZE.match(text.strip())
    if not found or _LENGTHS.match(text.strip()[found.end() :]):
        return None
    sides = [float(re.sub(r"[,.' ]", "", found[i])) for i in (1, 3)]
    if not all(sides):
        return None
    turned = (found[2] or "").casefold() == "h" or (found[4] or "").casefold() == "w"
    return (sides[1], sides[0]) if turned else (sides[0], sides[1])
