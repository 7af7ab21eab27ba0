"""When two spellings are one name."""

from __future__ import annotations

import re
import unicodedata

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
