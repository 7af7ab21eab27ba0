"""Short films of the pieces of a review: a slow wipe from the picture before to the picture after."""

from __future__ import annotations

import io
from collections.abc import Iterator
from importlib.util import find_spec

from PIL import Image

from stitchlog import words
from stitchlog.diary.frames import each_record
from stitchlog.render import theme
from stitchlog.render.card import Card
from stitchlog.reports.review.cards import SIZES, check_size, slug
from stitchlog.reports.review.cards.parts import MARGIN, draw_label, draw_photo, label_width, photo_scale
from stitchlog.reports.review.cards.piece import photos
from stitchlog.reports.review.recap import Recap

# The paths of all clips, whatever the period was.
CLIP_PATHS = "clips/[0-9][0-9]*-*.*"
# Seconds: the picture before, the wipe, the picture after.
_BEFORE, _WIPE, _AFTER = 0.7, 2.5, 0.8
_FILM_RATE, _PICTURE_RATE = 25, 10


def clips(recap: Recap, size: str = "wide", make: bool = True) -> dict[str, bytes]:
    """A clip of four seconds for each piece with a picture before and one after, by path: `clips/01-NAME.mp4`.

    size: a key of SIZES; every frame is exactly that large. make: False gives none. MP4 (H.264) where PyAV is
    installed (the extra `clip`), else animated PNG. Raises StitchlogError where there is no such size.
    """
    check_size(size)
    out = {}
    film = find_spec("av") is not None
    for row in each_record(recap.story) if make else ():
        seen = photos(recap, row, largest=1920)
        if len(seen) == 2:
            before, after = _stills(seen, size)
            path = f"clips/{row['order']:02d}-{slug(row['piece'])}"
            if film:
                out[f"{path}.mp4"] = _film(_frames(before, after, _FILM_RATE), SIZES[size])
            else:
                out[f"{path}.png"] = _animated(list(_frames(before, after, _PICTURE_RATE)))
    return out


def say_clips(made: dict[str, bytes]) -> str:
    """How many clips there are, and what makes films of pictures that move (result of `clips`); '' where none is."""
    if not made:
        return ""
    text = (
        f"{words.count(len(made), 'clip')} from before to after, four seconds each, {'is' if len(made) == 1 else 'are'}"
    )
    if all(path.endswith(".mp4") for path in made):
        return f"{text} in review/clips."
    return f'{text} in review/clips as animated pictures. For films: pip install "stitchlog[clip]".'


def _stills(seen: list[tuple[Image.Image, str]], size: str) -> tuple[Image.Image, Image.Image]:
    """Both pictures over the whole frame at one scale, each with its day: where the wipe leaves it whole longest."""
    across, down = SIZES[size]
    scale = photo_scale([image for image, _ in seen], [(across, down)] * 2)
    drawn = []
    for number, (image, day) in enumerate(seen):
        card = Card(across, down, MARGIN[size])
        draw_photo(card, image, (0, 0, across, down), scale)
        right = card.width - card.margin - label_width(day, 52)
        draw_label(card, day, card.margin if number else right, card.height - card.margin, 52)
        drawn.append(Image.open(io.BytesIO(card.png())).convert("RGB"))
    return drawn[0], drawn[1]


def _frames(before: Image.Image, after: Image.Image, rate: int) -> Iterator[Image.Image]:
    """Every frame: the one picture, ever more of the other from the left, the other."""
    for i in range(round((_BEFORE + _WIPE + _AFTER) * rate)):
        part = min(max((i / rate - _BEFORE) / _WIPE, 0.0), 1.0)
        # Slow at both ends.
        edge = round(before.width * part * part * (3 - 2 * part))
        frame = before.copy()
        frame.paste(after.crop((0, 0, edge, after.height)), (0, 0))
        if 0 < edge < before.width:
            frame.paste(theme.PAPER, (max(edge - 3, 0), 0, min(edge + 3, frame.width), frame.height))
        yield frame


def _film(frames: Iterator[Image.Image], size: tuple[int, int]) -> bytes:
    import av

    out = io.BytesIO()
    with av.open(out, "w", format="mp4") as film:
        stream = film.add_stream("libx264", rate=_FILM_RATE, options={"crf": "18", "preset": "veryfast"})
        stream.width, stream.height = size
        stream.pix_fmt = "yuv420p"
        for image in frames:
            film.mux(stream.encode(av.VideoFrame.from_image(image)))
        film.mux(stream.encode())
    return out.getvalue()


def _animated(frames: list[Image.Image]) -> bytes:
    out = io.BytesIO()
    first, *rest = frames
    first.save(out, "PNG", save_all=True, append_images=rest, duration=round(1000 / _PICTURE_RATE), loop=0)
    return out.getvalue()
