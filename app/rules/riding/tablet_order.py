"""When the rides of one tablet were ridden: in the order in which it numbered them.

A tablet numbers its rides itself, so their order is known whatever its clock
did: it may have been put right between two rides, or between riding and sending.
A time that contradicts the numbers, or lies in the future, gives way to them.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping
from datetime import datetime, timedelta

_APART = timedelta(microseconds=1)
"""Between two neighbours in a tablet's sequence, so that one that comes late still fits."""


def put_in_order(
    sent: Mapping[int, datetime], kept: Mapping[int, datetime], now: datetime
) -> dict[int, datetime]:
    """The moment of each ride in ``sent``, by its number in the tablet's sequence.

    ``kept`` are rides of the same tablet that were kept before and do not move;
    they must be in order themselves, with a microsecond for each number between
    two of them, as earlier results of this function are. Each new moment is the
    one sent where that fits, else the nearest that does. A ride after a kept one
    comes after it even where the kept one lies after ``now``.
    """
    numbers, times = sorted(kept), sorted(kept.values())
    found: dict[int, datetime] = {}
    later: tuple[int, datetime] | None = None
    for number in sorted(sent.keys() - kept.keys(), reverse=True):
        place = bisect_left(numbers, number)
        ahead = [later] if later else []
        ahead += [(numbers[place], times[place])] if place < len(numbers) else []
        moment = min([sent[number], now, *(at - (n - number) * _APART for n, at in ahead)])
        if place:
            moment = max(moment, times[place - 1] + (number - numbers[place - 1]) * _APART)
        found[number] = moment
        later = (number, moment)
    return found


def clock_words(skew_seconds: int) -> str:
    """What is said beside a ride whose tablet showed another time; empty within a minute."""
    minutes = round(abs(skew_seconds) / 60)
    if not minutes:
        return ""
    hours, rest = divmod(minutes, 60)
    said = " ".join(f"{number} {unit}" for number, unit in ((hours, "h"), (rest, "min")) if number)
    way = "fast" if skew_seconds > 0 else "slow"
    return f"The tablet's clock was {said} {way}. The time above is put right."
