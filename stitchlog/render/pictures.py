"""Pictures from a diary folder: upright, small, and with nothing in them but the picture."""

from __future__ import annotations

import base64
import io
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from PIL import Image, ImageCms, ImageOps

from stitchlog.diary import photos
from stitchlog.render import theme

# The longest side that any report shows, in pixels.
LARGEST = 1000
_QUALITY = 86


def load(folder: str | Path, path: str, largest: int = LARGEST) -> Image.Image | None:
    """The picture, upright as the camera meant, at most `largest` pixels a side, in sRGB.

    It carries no camera or place data any more. None where the path leaves the folder, where the folder has
    no such picture, or where it cannot be opened.
    """
    return photos.opened(folder, path, largest, lambda image: _clean(image, largest))


def of_period(folder: str | Path, row: Mapping[str, Any]) -> list[tuple[str, Image.Image | None, Any]]:
    """The pictures before and after that a row of `review.story` names: path, picture (None: cannot be opened), day."""
    named = [(row[f"{when}_photo"], row[f"{when}_photo_date"]) for when in ("before", "after")]
    return [(path, load(folder, path), day) for path, day in named if path]


def _clean(image: Image.Image, largest: int) -> Image.Image:
    profile = image.info.get("icc_profile")
    upright = ImageOps.exif_transpose(image)
    upright.thumbnail((largest, largest), reducing_gap=2.0)
    colours = upright.convert("RGBA") if "transparency" in upright.info or upright.mode in ("LA", "PA") else upright
    paper = Image.new("RGB", upright.size, theme.PAPER)
    if colours.mode == "RGBA":
        paper.paste(colours, mask=colours.getchannel("A"))
    else:
        paper.paste(_in_srgb(colours, profile))
    return paper


def _in_srgb(image: Image.Image, profile: bytes | None) -> Image.Image:
    if profile and image.mode in ("RGB", "CMYK", "L"):
        try:
            source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            turned = ImageCms.profileToProfile(image, source, ImageCms.createProfile("sRGB"), outputMode="RGB")
            if turned is not None:
                return turned
        except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
            pass  # a profile that cannot be read is no profile
    return image.convert("RGB")


def fitted(image: Image.Image, width: int, height: int) -> Image.Image:
    """The whole picture, made to fit into a box of these pixels; never enlarged more than twice."""
    scale = min(width / image.width, height / image.height, 2.0)
    size = (max(1, round(image.width * scale)), max(1, round(image.height * scale)))
    return image.resize(size, Image.Resampling.LANCZOS)


def uri(image: Image.Image) -> str:
    """The picture as a `data:` address, to be put into a page or a card."""
    buffer = io.BytesIO()
    image.save(buffer, "JPEG", quality=_QUALITY)
    return f"data:image/jpeg;base64,{base64.b64encode(buffer.getvalue()).decode('ascii')}"
