"""How large a design comes out on a fabric, how much fabric to cut, and how many strands usually cover it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, fields
from typing import Any

from stitchlog.errors import StitchlogError
from stitchlog.model.thread_use import CM_PER_INCH

# Fabric as it is usually sold and worked: count to the inch, and over how many threads.
OVER_ONE = (11.0, 14.0, 16.0, 18.0, 20.0, 22.0, 25.0, 40.0)
OVER_TWO = (25.0, 28.0, 32.0, 36.0, 40.0)

# Strands for full cover by stitches to the inch (up to and including): common practice, no published source.
_STRANDS = ((11, 3, 3), (16, 2, 2), (18, 1, 2), (math.inf, 1, 1))


@dataclass(frozen=True)
class Size:
    """A design on its fabric. Each figure is a number where one side was asked for, (width, height) where both were.

    design_in, design_cm: the stitched part. cut_in, cut_cm: the fabric to cut, the margin added on every side.
    Read them as attributes or by name: `size["cut_cm"]`.
    """

    design_in: Any
    design_cm: Any
    cut_in: Any
    cut_cm: Any

    def keys(self) -> Iterator[str]:
        return (f.name for f in fields(self))

    def __getitem__(self, name: str) -> Any:
        if name not in self.keys():
            raise KeyError(name)
        return getattr(self, name)


def size(stitches: float | tuple[float, float], count: float, over: float = 1, margin_in: float = 3.0) -> Size:
    """The size of `stitches` (one side, or width and height) on fabric of `count` to the inch, worked over one or two.

    margin_in: inches of bare fabric on each side, so a cut is its design and twice the margin. Inches and centimetres
    (one inch is 2.54 cm exactly); an odd count over two keeps its half stitch to the inch. Raises StitchlogError where
    the count is not above 0, `over` is not 1 or 2, or a side or the margin is below 0.

    >>> size(140, 14)
    Size(design_in=10.0, design_cm=25.4, cut_in=16.0, cut_cm=40.64)
    >>> size((80, 220), 32, over=2)["cut_in"]
    (11.0, 19.75)
    """
    if not count > 0:
        raise StitchlogError(f"a fabric of {count} to the inch cannot be; the count must be above 0")
    if over not in (1, 2):
        raise StitchlogError(f"over {over} cannot be; it must be 1 or 2")
    if not margin_in >= 0:
        raise StitchlogError(f"a margin of {margin_in} inches cannot be; it must be 0 or more")
    one = not isinstance(stitches, (tuple, list))
    sides: Any = [stitches] if one else stitches
    if not all(side >= 0 for side in sides):
        raise StitchlogError(f"a design of {stitches} stitches cannot be; a side must be 0 or more")

    def given(unit: float, bare: float = 0.0) -> Any:
        out = tuple(round((side * over / count + 2 * bare) * unit, 9) for side in sides)
        return out[0] if one else out

    return Size(given(1), given(CM_PER_INCH), given(1, margin_in), given(CM_PER_INCH, margin_in))


def usual_strands(per_inch: float) -> tuple[int, int]:
    """Strands that usually cover, fewest and most, for so many stitches to the inch. Common practice, no source.

    >>> usual_strands(14), usual_strands(18), usual_strands(20)
    ((2, 2), (1, 2), (1, 1))
    """
    return next((low, high) for upto, low, high in _STRANDS if per_inch <= upto)


def say_fabric(count: float, over: float) -> str:
    """A fabric's count and how it is worked, in words.

    >>> say_fabric(32, 2), say_fabric(14, 1)
    ('32 count over two', '14 count over one')
    """
    return f"{count:g} count over {'two' if over == 2 else 'one'}"
