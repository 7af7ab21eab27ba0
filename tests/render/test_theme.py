"""The colours: contrast as WCAG 2.2 AA asks, and apart for colour-blind readers, computed from the theme."""

import itertools
import re

import pytest
from coloraide import Color

from stitchlog.render import theme

SCHEMES = {"light": theme.LIGHT, "dark": theme.DARK}


def contrast(a: str, b: str) -> float:
    return Color(a).contrast(b, method="wcag21")


@pytest.mark.parametrize("name", SCHEMES)
@pytest.mark.parametrize("behind", ["paper", "raised"])
def test_text_has_the_contrast_of_success_criterion_1_4_3(name, behind):
    scheme = SCHEMES[name]
    for text in (scheme.ink, scheme.quiet, scheme.hues[0]):
        assert contrast(text, getattr(scheme, behind)) >= 4.5, text


@pytest.mark.parametrize("name", SCHEMES)
def test_a_caution_can_be_read(name):
    assert contrast(SCHEMES[name].ink, SCHEMES[name].care) >= 4.5


@pytest.mark.parametrize("name", SCHEMES)
@pytest.mark.parametrize("behind", ["paper", "raised"])
def test_marks_and_outlines_have_the_contrast_of_success_criterion_1_4_11(name, behind):
    scheme = SCHEMES[name]
    for mark in (*scheme.hues, scheme.edge, scheme.ramp[-1]):
        assert contrast(mark, getattr(scheme, behind)) >= 3, mark


@pytest.mark.parametrize("name", SCHEMES)
@pytest.mark.parametrize("sight", [None, "protan", "deutan", "tritan"])
def test_hues_stay_apart_however_the_reader_sees_colour(name, sight):
    """CIEDE2000 of every pair, as full colour-blindness shows it; about 2 is the least that is noticed at all."""
    hues = [Color(h).filter(sight) if sight else Color(h) for h in SCHEMES[name].hues]
    apart = min(a.delta_e(b, method="2000") for a, b in itertools.combinations(hues, 2))
    assert apart >= (20 if sight is None else 8)


@pytest.mark.parametrize("name", SCHEMES)
def test_the_ramp_goes_one_way_in_even_steps(name):
    light = [Color(c).convert("oklch")["lightness"] for c in SCHEMES[name].ramp]
    steps = [b - a for a, b in itertools.pairwise(light)]
    assert all(s > 0 for s in steps) or all(s < 0 for s in steps)
    assert min(map(abs, steps)) >= 0.08


def test_every_light_colour_has_a_dark_one_and_the_sheet_names_no_other():
    named = set(re.findall(r"#[0-9a-f]{6}\b", theme.css()))
    known = set(theme.dark_of()) | set(theme.dark_of().values())
    assert named <= known
    assert len(theme.dark_of()) == 7 + len(theme.HUES) + len(theme.RAMP)


def test_a_charts_config_takes_its_colours_from_the_theme():
    named = set(re.findall(r"#[0-9a-f]{6}\b", str(theme.chart_config())))
    assert named and named <= set(theme.dark_of())
