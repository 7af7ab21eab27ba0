"""What a heading means: a table of words in six languages (`headings.toml`), a folder's own words before them."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from functools import cache
from importlib import resources

# What columns of a sheet of sessions, and of a list of pieces, may mean.
SESSION = (
    *("date", "piece", "stitches", "so_far", "percent", "minutes", "hours", "unpicked", "half", "quarter"),
    *("three_quarter", "backstitch", "knots", "beads", "colours", "photo", "note", "passed_over"),
)
PIECE = (
    *("piece", "total", "size", "width", "height", "coverage", "count", "over", "strands", "fabric", "done_before"),
    *("started", "finished", "set_aside", "due", "design_by", "chart_from", "fabric_from", "threads_from", "pages"),
    *("made_up", "tags", "passed_over"),
)
# What counts a session's work.
COUNTS = ("stitches", "so_far", "percent")

# How sure a meaning is: the very word; the word with a unit or a remark; the word among others; nearly the word.
SAME, WITH_UNIT, AMONG, NEARLY = 1.0, 0.95, 0.8, 0.7
_ALIKE = 88.0
_UNIT = re.compile(r"\(.*?\)|\[.*?\]|/.*|:.*")


@cache
def _raw() -> dict[str, dict[str, list[str]]]:
    import tomllib

    return tomllib.loads(resources.files(__package__).joinpath("headings.toml").read_text("utf-8"))


@cache
def table() -> dict[str, frozenset[str]]:
    """Meaning -> its words, as `plain` writes them."""
    return {
        meaning: frozenset(plain(word) for words in languages.values() for word in words)
        for meaning, languages in _raw().items()
    }


@cache
def _months() -> dict[str, int]:
    return {name: place for names in _raw()["months"].values() for place, name in enumerate(names, 1)}


def rank(text: object, meaning: str) -> int:
    """The place of a heading among the words of its meaning, in its language: the plainest words stand first.

    >>> rank("Stitches", "stitches") < rank("Count", "stitches")
    True
    """
    lists = _raw()[meaning].values()
    return min(
        (list(map(plain, words)).index(plain(text)) for words in lists if plain(text) in map(plain, words)), default=99
    )


def plain(text: object) -> str:
    """A heading's words: no capitals, accents or punctuation but %.

    >>> plain(" Stitches (Today):"), plain("Über"), plain("% done")
    ('stitches today', 'uber', '% done')
    """
    if not isinstance(text, str):
        return ""
    bare = unicodedata.normalize("NFKD", text.casefold())
    return " ".join(re.sub(r"[^a-z0-9% ]", " ", "".join(c for c in bare if not unicodedata.combining(c))).split())


def meaning(text: object, among: Iterable[str], own: Mapping[str, Iterable[str]] | None = None) -> tuple[str, float]:
    """What a heading means among the given meanings, and how sure that is; ('', 0) where it is none or two of them.

    own: the folder's own words, a list a meaning.

    >>> meaning("Datum", SESSION), meaning("Time (mins)", SESSION), meaning("mood", SESSION)
    (('date', 1.0), ('minutes', 0.95), ('', 0.0))
    """
    words = plain(text)
    if not words:
        return "", 0.0
    allowed = list(among)
    for name, own_words in (own or {}).items():
        if name in allowed and words in map(plain, own_words):
            return name, SAME
    bare = plain(_UNIT.sub(" ", str(text))) or words
    known = table()
    for wanted, sure in ((words, SAME), (bare, WITH_UNIT)):
        found = [name for name in allowed if wanted in known[name]]
        if found:
            # Words of two meanings count for the first of the two, as the lists above have them.
            return found[0], sure
    padded = f" {words} "
    held = {
        name: max((len(word) for word in known[name] if len(word) > 2 and f" {word} " in padded), default=0)
        for name in allowed
    }
    most = max(held.values())
    longest = [name for name, size in held.items() if size == most]
    if most and len(longest) == 1 and len(words.split()) <= 5:
        return longest[0], AMONG
    if len(words) >= 5:
        from rapidfuzz import fuzz

        near = {
            name
            for name in allowed
            if any(len(word) >= 4 and fuzz.ratio(words, word, score_cutoff=_ALIKE) for word in known[name])
        }
        if len(near) == 1:
            return near.pop(), NEARLY
    return "", 0.0


def is_total(text: object) -> bool:
    """Whether a row or a column so named adds up others.

    >>> is_total("Total March"), is_total("Summe"), is_total("Totally Owls")
    (True, True, False)
    """
    words = plain(text)
    known = table()["totals"]
    months = _months()
    rest = [w for w in words.split() if not (w.isdigit() or w in months or w in ("for", "of", "the", "in"))]
    return bool(rest) and (" ".join(rest) in known or (rest[0] in known and len(rest) <= 2 and rest[-1] in _SPANS))


_SPANS = frozenset(
    {"month", "year", "week", "day", "stitches", "monat", "jahr", "woche", "mois", "mes", "maand", "mese"}
)


def month_of(text: object) -> tuple[int | None, int | None]:
    """The year and the month that a sheet's name or a title says.

    >>> month_of("March 2024"), month_of("2024-03"), month_of("Mrz 24"), month_of("Otter Creek")
    ((2024, 3), (2024, 3), (2024, 3), (None, None))
    """
    raw = str(text)
    if found := re.search(r"\b((?:19|20)\d\d)[-/. _](0?[1-9]|1[0-2])\b", raw):
        return int(found[1]), int(found[2])
    if found := re.search(r"\b(0?[1-9]|1[0-2])[-/. _]((?:19|20)\d\d)\b", raw):
        return int(found[2]), int(found[1])
    words = plain(raw).split()
    years = {int(w) for w in words if re.fullmatch(r"(19|20)\d\d", w)}
    year = years.pop() if len(years) == 1 else None
    month = None
    for word in words:
        # Three letters of a month's name stand for it, where no other month begins with them.
        begins = {place for name, place in _months().items() if len(word) >= 3 and name.startswith(word)}
        if not begins and word in ("mrz", "maerz"):
            begins = {3}
        if len(begins) == 1:
            month = begins.pop()
    if month and year is None:
        year = next((2000 + int(w) for w in words if re.fullmatch(r"\d\d", w)), None)
    others = [w for w in words if not w.isdigit()]
    # A month's name among other words is no month: "March of the Owls".
    return (year, month) if month is None or len(others) <= 2 else (year, None)
