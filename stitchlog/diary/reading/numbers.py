"""Numbers as people and spreadsheets write them, and never a thousandth where a thousand was meant."""

from __future__ import annotations

import re

from stitchlog.diary.reading.problems import Wrong, brief

# More than any diary counts; a larger number is a slip of the hand.
LARGEST = 1e9

_PLAIN = r"[0-9]+(?:\.[0-9]+)?\Z"
_EXPONENT = r"[0-9.,]+[eE][+-]?[0-9]+\Z"
_CLOCK = r"[0-9]+:[0-5][0-9](?::[0-5][0-9])?\Z"
_GROUPS = {mark: rf"[0-9]{{1,3}}(?:{re.escape(mark)}[0-9]{{3}})+\Z" for mark in (",", ".", " ", "'")}
_BLANK_MARKS = dict.fromkeys(map(ord, "\N{NO-BREAK SPACE}\N{NARROW NO-BREAK SPACE}\N{THIN SPACE}"), " ")
_BLANK_MARKS[ord("\N{RIGHT SINGLE QUOTATION MARK}")] = "'"


def read(text: str, decimal_comma: bool = False) -> float:
    """The number that `text` says.

    decimal_comma: whether the file is one (`;` or tab between values) where a comma may be the decimal mark.
    A single group of three digits after a mark that could be either (1.234; 1,234 where commas may be decimal) is not
    read: it may be a thousand or a thousandth. Raises Wrong.

    >>> read("120"), read("12,5", decimal_comma=True), read("1,234"), read("1 234,5", decimal_comma=True)
    (120.0, 12.5, 1234.0, 1234.5)
    """
    sign, digits = 1.0, text.strip().translate(_BLANK_MARKS)
    if digits[:1] in ("-", "+", "\N{MINUS SIGN}"):
        sign = 1.0 if digits[0] == "+" else -1.0
        digits = digits[1:]
    value = _plain(digits, text, decimal_comma)
    if value > LARGEST:
        raise Wrong("too-large", f'"{brief(text)}" is more than can be stitched')
    return sign * value if value else 0.0


def _plain(digits: str, text: str, decimal_comma: bool) -> float:
    if re.match(_EXPONENT, digits):
        raise Wrong("shortened-number", f'"{brief(text)}" is a number that a spreadsheet has shortened')
    if re.match(_CLOCK, digits):
        raise Wrong("bad-number", f'"{brief(text)}" is a time with a colon; an hour and a quarter is 75 minutes')
    whole, mark, part = digits, "", ""
    last = max(digits.rfind("."), digits.rfind(","))
    if last >= 0:
        whole, mark, part = digits[:last], digits[last], digits[last + 1 :]
    if mark == "," and not decimal_comma and "." not in whole:
        # Between commas a comma in a number can only group thousands.
        whole, mark, part = digits, "", ""
    elif mark and _could_group(whole, mark, part):
        if mark in whole:
            whole, mark, part = digits, "", ""
        else:
            raise Wrong("unclear-number", f'"{brief(text)}" may mean {whole}{part} or {whole}.{part}')
    grouping = next((m for m in _GROUPS if m in whole and m != mark), None)
    if grouping:
        if not re.match(_GROUPS[grouping], whole):
            raise Wrong("bad-number", f'"{brief(text)}" is not a number')
        whole = whole.replace(grouping, "")
    number = f"{whole or 0}.{part}" if mark else whole
    if not re.match(_PLAIN, number):
        raise Wrong("bad-number", f'"{brief(text)}" is not a number')
    return float(number)


def _could_group(whole: str, mark: str, part: str) -> bool:
    """Whether the last mark may group thousands: three digits after it, groups or one to three digits before it."""
    if len(part) != 3 or not part.isdigit() or whole == "0":
        return False
    return bool(re.match(_GROUPS[mark], f"{whole}{mark}{part}"))
