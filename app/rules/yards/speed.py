"""Speeds: km/h inside, km/h and mph in words, and where a figure came from."""

from __future__ import annotations

from math import floor, isfinite

KM_PER_MILE = 1.609344
"""Exact: 1,760 yards of 0.9144 m, the international yard of 1959."""

_DIAL_FACTOR = 1.1
_DIAL_ALLOWANCE_KMH = 4.0


def mph_from_kmh(kmh: float) -> float:
    """A speed in km/h as mph, unrounded."""
    return kmh / KM_PER_MILE


def kmh_from_mph(mph: float) -> float:
    """A speed in mph as km/h, unrounded."""
    return mph * KM_PER_MILE


def kmh_words(kmh: float) -> str:
    """``51`` or ``49.9``: at most one decimal, cut off rather than rounded up.

    A speed just under a minimum must never be written as if it had reached it.
    """
    tenths = floor(round(kmh * 10, 6))
    return str(tenths // 10) if tenths % 10 == 0 else f"{tenths / 10:.1f}"


def speed_words(kmh: float) -> str:
    """A speed for people, as ``51 km/h (32 mph)``; mph to the nearest whole number."""
    return f"{kmh_words(kmh)} km/h ({round(mph_from_kmh(kmh))} mph)"


def gate_speed_kmh(distance_m: float, seconds: float) -> float:
    """The mean speed in km/h through a gate of ``distance_m`` metres taken in ``seconds``.

    Raises ValueError where either is not a number above nought.
    """
    if not (isfinite(distance_m) and isfinite(seconds) and distance_m > 0 and seconds > 0):
        raise ValueError("a timed gate needs a distance and a time above nought")
    return distance_m / seconds * 3.6


def dial_range_kmh(shown_kmh: float) -> tuple[float, float]:
    """The least and the greatest true speed, in km/h, behind a dial that shows ``shown_kmh``.

    Source: UN Regulation No. 39, speedometer equipment: a dial never reads low,
    and reads high by at most a tenth of the true speed and 4 km/h.
    """
    least = (shown_kmh - _DIAL_ALLOWANCE_KMH) / _DIAL_FACTOR
    return max(0.0, least), shown_kmh
