"""The calibration picture: chances said across, shares that came true upwards."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

from app.rules.progress.scores import Bin

SIDE, EDGE = 400.0, 48.0
SMALLEST, LARGEST = 2.0, 9.0
"""Radii of the dots: their area grows with the number of attempts."""


def calibration_svg(bins: Sequence[Bin]) -> str:
    """The picture as a file of its own; what came true as often as it was said lies on the line."""
    size = SIDE + 2.0 * EDGE
    most = max(one.count for one in bins)
    title = "What was said, and how often it came true"
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size:g} {size:g}" role="img">',
        f"<title>{title}</title>",
        f'<rect width="{size:g}" height="{size:g}" fill="#ffffff"/>',
        *(_rule(tenths / 10.0) for tenths in range(0, 11, 2)),
        _line(0.0, 0.0, 1.0, 1.0, "#666c69"),
        *(_dot(one, most) for one in bins),
        _text(SIDE / 2 + EDGE, size - 8.0, "chance said, in 100"),
        _text(SIDE / 2 + EDGE, 24.0, f"{title} (share in 100, upwards)"),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def _rule(at: float) -> str:
    label = f"{at * 100:.0f}"
    return "\n".join(
        [
            _line(0.0, at, 1.0, at, "#dde0da"),
            _line(at, 0.0, at, 1.0, "#dde0da"),
            _text(_x(at), _y(0.0) + 18.0, label),
            _text(_x(0.0) - 18.0, _y(at) + 4.0, label),
        ]
    )


def _dot(one: Bin, most: int) -> str:
    radius = max(SMALLEST, LARGEST * sqrt(one.count / most))
    words = f"{one.count} attempts: said {one.mean_chance:.3f}, was {one.share_clean:.3f}"
    place = f'cx="{_x(one.mean_chance):.1f}" cy="{_y(one.share_clean):.1f}"'
    return f'<circle {place} r="{radius:.1f}" fill="#dc520c"><title>{words}</title></circle>'


def _line(x1: float, y1: float, x2: float, y2: float, colour: str) -> str:
    ends = f'x1="{_x(x1):g}" y1="{_y(y1):g}" x2="{_x(x2):g}" y2="{_y(y2):g}"'
    return f'<line {ends} stroke="{colour}"/>'


def _text(x: float, y: float, words: str) -> str:
    font = 'font-family="sans-serif" font-size="13" text-anchor="middle" fill="#17191a"'
    return f'<text x="{x:g}" y="{y:g}" {font}>{words}</text>'


def _x(share: float) -> float:
    return EDGE + share * SIDE


def _y(share: float) -> float:
    return EDGE + (1.0 - share) * SIDE
