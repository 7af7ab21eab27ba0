"""When two spellings are one name, and which known name is meant by another."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

# So alike (0 to 100) is a known name to one that may be meant for it.
_ALIKE, _VERY_ALIKE = 60.0, 75.0
_BLANKS = re.compile(r"\s+")


def tidy(name: str) -> str:
    """A name as it is kept: outer blanks off, repeated ones single, letters composed one way (NFC).

    >>> tidy("  Otter   Creek ")
    'Otter Creek'
    """
    if name.isascii():
        return " ".join(name.split())
    return _BLANKS.sub(" ", unicodedata.normalize("NFC", name)).strip()


def key_of(name: str) -> str:
    """What makes two spellings one name: capitals, outer and repeated blanks and composed letters do not count.

    >>> key_of("OTTER  creek") == key_of(" Otter Creek")
    True
    """
    # Folding can leave letters that compose anew, so they are composed once more.
    folded = tidy(str(name)).casefold()
    return folded if folded.isascii() else unicodedata.normalize("NFC", folded)


def meant(name: str, known: Iterable[str]) -> list[str]:
    """The known name that is the same, accents or not; else all that have it, of three letters or more, as a part.

    A part is a stretch of the name, or the beginnings of some of its words.

    >>> meant("otter", ["Otter Creek", "Salt Wind"]), meant("salt wind", ["Salt Wind", "Salt Wind Sampler"])
    (['Otter Creek'], ['Salt Wind'])
    >>> meant("fee", ["Fée Verte", "Salt Wind"]), meant("Salt Wind II", ["Salt Wind"])
    (['Fée Verte'], [])
    """
    own = list(known)
    for key in (key_of, plain):
        same = [other for other in own if key(other) == key(name)]
        if same:
            return same[:1] if key is key_of else same
    wanted = plain(name)
    return [other for other in own if len(wanted) >= 3 and _has_part(plain(other), wanted)]


def slips(name: str, known: Iterable[str]) -> list[str]:
    """The known names of which this one is a slip of the hand: word for word the same but for a letter or two.

    Numbers, short words and letters added at the end of a word are no slips: they tell one piece from the next.

    >>> slips("Oter Crek", ["Otter Creek", "Salt Wind"]), slips("Sampler 2", ["Sampler 3", "Samplers 2"])
    (['Otter Creek'], [])
    """
    words = plain(name).split()
    return [other for other in known if _is_slip(words, plain(other).split())]


def nearest(name: str, known: Iterable[str], most: int = 5) -> list[str]:
    """The known names most like this one, the nearest first."""
    from rapidfuzz import fuzz, process

    found = process.extract(name, list(known), scorer=fuzz.WRatio, processor=plain, limit=most, score_cutoff=_ALIKE)
    return [other for other, _, _ in found]


def alike(name: str, known: Iterable[str]) -> list[str]:
    """The known names that one might write for the other: one begins with the other, or most letters are the same."""
    from rapidfuzz import fuzz

    key, own = plain(name), [(other, plain(other)) for other in known]
    return [
        other
        for other, k in own
        if key.startswith(k) or k.startswith(key) or fuzz.ratio(key, k, score_cutoff=_VERY_ALIKE)
    ]


def _has_part(key: str, wanted: str) -> bool:
    own = key.split()
    return wanted in key or all(any(word.startswith(part) for word in own) for part in wanted.split())


def _is_slip(words: list[str], own: list[str]) -> bool:
    if "".join(words) == "".join(own):
        return True
    return len(words) == len(own) and all(map(_slipped, words, own))


def _slipped(word: str, own: str) -> bool:
    """Whether one word is the other, or it with a letter wrong (two in a long one)."""
    if word == own:
        return True
    if len(own) < 4 or len(word) < 4 or not (word + own).isalpha() or word.startswith(own) or own.startswith(word):
        return False
    from rapidfuzz.distance import OSA

    return OSA.distance(word, own) <= (2 if len(own) >= 8 else 1)


def plain(name: str) -> str:
    """What is typed where a keyboard has no accents.

    >>> plain("Fée  Étoilée")
    'fee etoilee'
    """
    key = key_of(name)
    if key.isascii():
        return key
    return "".join(c for c in unicodedata.normalize("NFKD", key) if not unicodedata.combining(c))


def hint(name: str, known: Iterable[str]) -> str:
    """The nearest known name as a question behind an error; nothing where none is alike.

    >>> hint("Oter Crek", ["Otter Creek", "Salt Wind"])
    '; did you mean "Otter Creek"?'
    """
    from rapidfuzz import fuzz, process

    near = process.extractOne(name, list(known), scorer=fuzz.token_sort_ratio, processor=key_of, score_cutoff=_ALIKE)
    return f'; did you mean "{near[0]}"?' if near else ""
