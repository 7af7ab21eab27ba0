"""When two spellings are one name, and which known name is meant by another."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

# So alike (0 to 100) is a known name to one that may be meant for it.
_ALIKE = 60.0
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
    """The known name that is the same; else all that have it, of three letters or more, as a part.

    >>> meant("otter", ["Otter Creek", "Salt Wind"]), meant("salt wind", ["Salt Wind", "Salt Wind Sampler"])
    (['Otter Creek'], ['Salt Wind'])
    """
    wanted, keys = key_of(name), {own: key_of(own) for own in known}
    same = [own for own, key in keys.items() if key == wanted]
    return same[:1] or [own for own, key in keys.items() if len(wanted) >= 3 and wanted in key]


def hint(name: str, known: Iterable[str]) -> str:
    """The nearest known name as a question behind an error; nothing where none is alike.

    >>> hint("Oter Crek", ["Otter Creek", "Salt Wind"])
    '; did you mean "Otter Creek"?'
    """
    from rapidfuzz import fuzz, process

    near = process.extractOne(name, list(known), scorer=fuzz.token_sort_ratio, processor=key_of, score_cutoff=_ALIKE)
    return f'; did you mean "{near[0]}"?' if near else ""
