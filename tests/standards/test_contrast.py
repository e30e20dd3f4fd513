"""Colours against WCAG 2.2: contrast ratio and relative luminance as its glossary defines them.

Source: W3C Recommendation "Web Content Accessibility Guidelines (WCAG) 2.2", success criteria
1.4.3 (text 4.5:1), 1.4.6 (text 7:1) and 1.4.11 (parts of controls and graphics 3:1), and the
definitions of "contrast ratio" and "relative luminance".
"""

from __future__ import annotations

import re
from functools import lru_cache
from itertools import pairwise
from pathlib import Path

import pytest

TOKENS = Path(__file__).resolve().parents[2] / "static" / "css" / "tokens.css"
COLOUR = re.compile(r"--([a-z0-9-]+):\s*(#[0-9a-f]{6});")

TEXT = [
    ("ink", "ground"),
    ("ink", "raised"),
    ("ink", "sunk"),
    ("muted", "ground"),
    ("muted", "raised"),
    ("muted", "sunk"),
    ("accent-ink", "ground"),
    ("on-accent", "accent"),
    ("on-accent", "accent-strong"),
    ("on-asphalt", "asphalt"),
    ("on-asphalt-muted", "asphalt"),
    ("error", "ground"),
    ("error", "raised"),
    ("error", "error-ground"),
    ("ground", "ink"),
    ("ground", "error"),
]
YARD = [
    ("ink", "ground"),
    ("ink", "raised"),
    ("ink", "sunk"),
    ("ground", "ink"),
    ("muted", "ground"),
    ("accent-ink", "ground"),
    ("on-accent", "accent"),
    ("accent", "on-accent"),
    ("on-asphalt", "asphalt"),
    ("asphalt", "on-asphalt"),
    ("on-asphalt-muted", "asphalt"),
    ("error", "ground"),
    ("error", "raised"),
    ("error", "error-ground"),
]
GRAPHICS = [
    ("edge", "ground"),
    ("edge", "raised"),
    ("underline", "ground"),
    ("accent", "asphalt"),
    ("cone-standing", "ground"),
    ("cone-leaning", "ground"),
    ("cone-fallen", "ground"),
    ("cone-outline", "ground"),
    ("cone-standing", "raised"),
    ("cone-outline", "sunk"),
]
SCHEMES = ("light", "dark")


@lru_cache
def scheme(name: str) -> dict[str, str]:
    """The colours of a scheme; the dark block replaces those of the light one."""
    light, dark = TOKENS.read_text().split("@media screen and (prefers-color-scheme: dark)")
    colours = dict(COLOUR.findall(light))
    return colours if name == "light" else colours | dict(COLOUR.findall(dark))


def luminance(colour: str) -> float:
    """Relative luminance, 0 for black to 1 for white."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio, 1 to 21."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_formula_gives_the_extremes_that_the_definition_names() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#777777") == pytest.approx(1)


@pytest.mark.parametrize("name", SCHEMES)
@pytest.mark.parametrize(("front", "back"), TEXT)
def test_text_has_4_5_to_1(name: str, front: str, back: str) -> None:
    colours = scheme(name)
    assert contrast(colours[front], colours[back]) >= 4.5


@pytest.mark.parametrize("name", SCHEMES)
@pytest.mark.parametrize(("front", "back"), YARD)
def test_yard_text_has_7_to_1(name: str, front: str, back: str) -> None:
    colours = scheme(name)
    assert contrast(colours[front], colours[back]) >= 7


@pytest.mark.parametrize("name", SCHEMES)
@pytest.mark.parametrize(("front", "back"), GRAPHICS)
def test_drawn_parts_have_3_to_1(name: str, front: str, back: str) -> None:
    colours = scheme(name)
    assert contrast(colours[front], colours[back]) >= 3


@pytest.mark.parametrize("name", SCHEMES)
def test_a_worse_ride_stands_out_more_from_the_ground(name: str) -> None:
    colours = scheme(name)
    ramp = [colours["cone-standing"], colours["cone-leaning"], colours["cone-fallen"]]
    ratios = [contrast(colour, colours["ground"]) for colour in ramp]
    assert ratios == sorted(ratios)
    assert all(later / earlier > 1.3 for earlier, later in pairwise(ratios))


def test_both_schemes_name_the_same_colours() -> None:
    _, dark = TOKENS.read_text().split("@media screen and (prefers-color-scheme: dark)")
    assert set(dict(COLOUR.findall(dark))) == set(scheme("light"))
