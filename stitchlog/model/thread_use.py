"""Thread geometry: what one cross spends, and how many a length of thread works.

One fabric square of a cross has sides of `2.54 * over / count` cm. The needle's way around it, front and back, gives
the thread in such sides. All of it holds for every strand in the needle alike, so strands do not enter here.
"""

from __future__ import annotations

import math

from stitchlog.errors import StitchlogError

CM_PER_INCH = 2.54

# Sides of thread per full cross, by the way of working (derived from the needle's path).
# row: half crosses out, crossed coming back: two diagonals in front, two sides behind.
# each: every cross finished before the next: two diagonals in front, a side and a diagonal behind.
SIDES = {"row": 2 * math.sqrt(2) + 2, "each": 3 * math.sqrt(2) + 1}

# Keeps a length that divides evenly from losing a stitch to rounding.
_EPS = 1e-9


def sides_per_cross(method: str = "row") -> float:
    """Thread in one full cross, in sides of its square: 'row' (half crosses out, crossed coming back) or 'each'.

    >>> round(sides_per_cross("row"), 4), round(sides_per_cross("each"), 4)
    (4.8284, 5.2426)
    """
    if method not in SIDES:
        raise StitchlogError(f'"{method}" is no way of working; say row (half crosses out, crossed back) or each')
    return SIDES[method]


def cm_per_stitch(count: float, over: float = 1, method: str = "row") -> float:
    """Thread of one strand in one full cross, in cm. count: fabric threads or blocks per inch; over: 1 or 2 threads.

    >>> round(cm_per_stitch(14), 3), round(cm_per_stitch(28, over=2), 3), round(cm_per_stitch(14, method="each"), 3)
    (0.876, 0.876, 0.951)
    """
    if not count > 0 or not over > 0:
        raise StitchlogError(f"a fabric of {count} per inch, worked over {over}, cannot be; both must be above 0")
    return sides_per_cross(method) * CM_PER_INCH * over / count


def stitches_per_length(
    count: float, over: float = 1, method: str = "row", length_cm: float = 45.0, tail_cm: float = 4.0
) -> int:
    """Whole crosses that one needleful works, `tail_cm` being lost at each of its two ends.

    >>> stitches_per_length(14), stitches_per_length(14, method="each"), stitches_per_length(14, tail_cm=0)
    (42, 38, 51)
    """
    usable = length_cm - 2 * tail_cm
    return max(0, math.floor(usable / cm_per_stitch(count, over, method) + _EPS))


def lengths_per_skein(skein_m: float = 8.0, length_cm: float = 45.0) -> int:
    """Whole lengths cut from a skein; what is left over is shorter than a length.

    >>> lengths_per_skein(8, 45), lengths_per_skein(8, 40)
    (17, 20)
    """
    if not length_cm > 0:
        raise StitchlogError(f"a length of {length_cm} cm cannot be cut; strand_length_cm must be above 0")
    return math.floor(skein_m * 100 / length_cm + _EPS)
