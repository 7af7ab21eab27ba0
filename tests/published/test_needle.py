"""Thread geometry. The needle's paths are described in published instructions: row-wise in a retailer's stitching FAQ,
stitch by stitch in *School Sewing*, paragraph 124 (both read); the lengths follow from them. Tails of 4 cm are common
practice, no source. Whole lengths of a skein of 8 m: arithmetic."""

import math

import pytest

from stitchlog.needle import (
    cm_per_stitch,
    lengths_per_skein,
    needlefuls_per_length,
    sides_per_cross,
    stitches_per_length,
)


def test_sides_per_cross():
    assert sides_per_cross("row") == pytest.approx(2 * math.sqrt(2) + 2)
    assert round(sides_per_cross("row"), 4) == 4.8284
    assert round(sides_per_cross("each"), 4) == 5.2426
    assert round(sides_per_cross("each") / sides_per_cross("row") - 1, 3) == 0.086


@pytest.mark.parametrize(
    ("count", "row", "each"),
    [
        (11, 1.115, 1.211),
        (14, 0.876, 0.951),
        (16, 0.767, 0.832),
        (18, 0.681, 0.740),
        (20, 0.613, 0.666),
        (22, 0.557, 0.605),
    ],
)
def test_cm_per_stitch(count, row, each):
    assert cm_per_stitch(count) == pytest.approx(row, abs=5e-4)
    assert cm_per_stitch(count, method="each") == pytest.approx(each, abs=6e-4)


@pytest.mark.parametrize(("count", "row", "each"), [(14, 42, 38), (16, 48, 44), (18, 54, 50)])
def test_stitches_of_a_45_cm_length_after_tails(count, row, each):
    assert stitches_per_length(count) == row
    assert stitches_per_length(count, method="each") == each
    assert stitches_per_length(2 * count, over=2) == row


def test_stitches_of_a_45_cm_length_without_tails():
    assert (stitches_per_length(14, tail_cm=0), stitches_per_length(14, method="each", tail_cm=0)) == (51, 47)


def test_lengths_and_needlefuls_of_a_skein():
    assert lengths_per_skein(8, 45) == 17
    assert lengths_per_skein(8, 45.72) == 17
    assert [needlefuls_per_length(n) for n in (1, 2, 3, 4)] == [6, 3, 2, 1]
