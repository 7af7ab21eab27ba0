"""Files that a report would write, shown in place while it writes nothing."""

from __future__ import annotations

import base64
import html
import io
from collections.abc import Iterator, Mapping
from pathlib import PurePosixPath
from typing import Any

from PIL import Image

_PICTURES, _FILMS = (".png", ".jpg", ".jpeg", ".gif", ".webp"), (".mp4",)
# Pictures of one report side by side: so many in a row, each so wide.
_ACROSS, _WIDTH, _GAP = 2, 560, 12


def shown(contents: Mapping[str, str | bytes]) -> Iterator[dict[str, Any]]:
    """What shows each file in a notebook, by kind: notes as text, a web page as a page, pictures on one sheet.

    The last says how to have them written.
    """
    drawn = [data for path, data in contents.items() if isinstance(data, bytes) and path.endswith(_PICTURES)]
    for path, content in contents.items():
        if path.endswith(_FILMS) and isinstance(content, bytes):
            film = base64.b64encode(content).decode("ascii")
            text = f'<video controls loop muted style="max-width:100%" src="data:video/mp4;base64,{film}"></video>'
            yield {"text/html": text, "text/plain": path}
        elif not path.endswith(_PICTURES):
            yield _shown(path, content if isinstance(content, str) else content.decode("utf-8"))
    if drawn:
        yield {"image/jpeg": base64.b64encode(sheet(drawn)).decode("ascii"), "text/plain": ", ".join(contents)}
    if contents:
        what = next(iter(contents)) if len(contents) == 1 else f"These {len(contents)} pictures"
        hint = f'{what} shown only. To have it as a file, set out = "../reports" above and run again.'
        hint = hint.replace(" shown", " is shown" if len(contents) == 1 else " are shown")
        hint = hint if len(contents) == 1 else hint.replace("it as a file", "them as files")
        yield {"text/html": f'<p class="quiet">{html.escape(hint)}</p>', "text/plain": hint}


def sheet(drawn: list[bytes]) -> bytes:
    """Pictures side by side on one, as JPEG."""
    small = []
    for data in drawn:
        image = Image.open(io.BytesIO(data)).convert("RGBA")
        image.thumbnail((_WIDTH, _WIDTH))
        small.append(Image.alpha_composite(Image.new("RGBA", image.size, "#8a8374"), image))
    across = min(_ACROSS, len(small))
    wide, high = max(i.width for i in small) + _GAP, max(i.height for i in small) + _GAP
    page = Image.new("RGB", (across * wide - _GAP, -(-len(small) // across) * high - _GAP), "white")
    for place, image in enumerate(small):
        page.paste(image, (place % across * wide, place // across * high))
    out = io.BytesIO()
    page.save(out, "JPEG", quality=80)
    return out.getvalue()


def _shown(path: str, text: str) -> dict[str, Any]:
    kind = PurePosixPath(path).suffix
    if kind == ".md":
        return {"text/markdown": text, "text/plain": text}
    if kind == ".html":
        inside = f'sandbox srcdoc="{html.escape(text, quote=True)}"'
        frame = (
            f'<iframe title="{html.escape(path)}" style="width:100%;height:28em;border:1px solid" {inside}></iframe>'
        )
        return {"text/html": frame, "text/plain": path}
    folded = f"<details><summary>{html.escape(path)}</summary><pre>{html.escape(text)}</pre></details>"
    return {"text/html": folded, "text/plain": path}
