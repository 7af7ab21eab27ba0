"""What a folder remembers of a file that was taken in: the answers that its cells do not prove, in `stitchlog.toml`."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping

from stitchlog.diary import settings
from stitchlog.errors import StitchlogError

_ORDER = re.compile(r"^[ \t]*#?[ \t]*date_order[ \t]*=.*$", re.MULTILINE)


def remembered(data: bytes, file: str, answers: Mapping[str, str]) -> bytes:
    """The settings with the answers about a file in a table of its own, every other line as it was."""
    text = data.decode("utf-8-sig")
    end = "\r\n" if "\r\n" in text else "\n"
    title = f"[import.{json.dumps(file, ensure_ascii=False)}]"
    # A table goes from its title to the next one.
    own = re.compile(rf"^{re.escape(title)}[ \t]*\r?\n(?:(?!\s*\[).*(?:\r?\n|\Z))*", re.MULTILINE)
    lines = [title, *(f"{name} = {json.dumps(value, ensure_ascii=False)}" for name, value in answers.items())]
    block = end.join(lines) + end
    if own.search(text):
        changed = own.sub(lambda found: block + (end if found[0].endswith(end + end) else ""), text, count=1)
    else:
        changed = text + ("" if not text or text.endswith("\n") else end) + (end if text.strip() else "") + block
    return _sound(changed, data)


def with_date_order(data: bytes, order: str) -> bytes:
    """The settings with the order of the stitcher's days said for all their files, where it is not said yet."""
    if settings.parsed(data).date_order is not None:
        return data
    text = data.decode("utf-8-sig")
    line = f'date_order = "{order}"'
    commented = _ORDER.search(text)
    if commented:
        changed = text[: commented.start()] + line + text[commented.end() :].lstrip(" \t")
    else:
        changed = line + ("\r\n" if "\r\n" in text else "\n") + text
    return _sound(changed, data)


def _sound(text: str, before: bytes) -> bytes:
    """The text as bytes, where it still reads as settings; what was there before, where it does not."""
    mark = b"\xef\xbb\xbf" if before.startswith(b"\xef\xbb\xbf") else b""
    try:
        settings.parsed(text.encode())
    except StitchlogError:
        return before
    return mark + text.encode()
