"""How wide text will be, and how to break it so that it fits: nothing is ever cut."""

from __future__ import annotations

import itertools
import unicodedata

# Width of letters in thousandths of the size: the wider of the regular and the bold face of the font that cards are set
# in, whose metrics are the common ones of sans-serif faces. What is not here is taken as wide as the widest letters.
_WIDTHS = {
    278: " ',./I\\ijl‘’·",
    333: "!()-:;[]`ft|",
    389: "*r{}•",
    500: 'z"“”',
    556: "#$0123456789J_aceksvxy–",
    584: "+<=>^~−×",
    611: "?FLTZbdghnopqußø",
    667: "EPSVXY",
    722: "&ABCDHKNRU",
    778: "GOQwØ",
    889: "Mm%½¼¾æ",
    1015: "W@—…",
}
_WIDTH_OF = {letter: width for width, letters in _WIDTHS.items() for letter in letters}
_WIDEST = 1015
# From one baseline to the next, in sizes of letters.
LEADING = 1.16


def width(text: str, size: float) -> float:
    """At most how wide the text will be, in the unit of `size`.

    >>> round(width("Otter", 100)) <= round(width("Otter Creek", 100)) // 2
    True
    """
    letters = unicodedata.normalize("NFD", text)
    return sum(0 if unicodedata.combining(c) else _WIDTH_OF.get(c, _WIDEST) for c in letters) * size / 1000


def wrap(text: str, size: float, across: float) -> list[str]:
    """The text in lines no wider than `across`, broken between words; inside one only where it alone is too wide."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        joined = f"{line} {word}".strip()
        if width(joined, size) <= across:
            line = joined
            continue
        if line:
            lines.append(line)
        line = word
        while width(line, size) > across and len(line) > 1:
            head = _head(line, size, across)
            lines.append(head)
            line = line[len(head) :]
    return [*lines, line] if line else lines


def _head(word: str, size: float, across: float) -> str:
    end = 1
    while end < len(word) and width(word[: end + 1], size) <= across:
        end += 1
    # A letter keeps its marks.
    while end < len(word) and end > 1 and unicodedata.combining(word[end]):
        end -= 1
    return word[:end]


def fit(text: str, across: float, down: float, sizes: tuple[int, ...]) -> tuple[list[str], float]:
    """Lines and size: the largest of `sizes` at which the text fits, its words whole; else as small as it must be."""
    for tried, size in enumerate(itertools.chain(sizes, (sizes[-1] * 0.94**n for n in itertools.count()))):
        lines = wrap(text, size, across)
        whole = tried >= len(sizes) or text.split() == [word for line in lines for word in line.split()]
        if size < 2 or (whole and len(lines) * size * LEADING <= down):
            break
    return lines, size
