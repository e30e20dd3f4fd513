"""How good chances were: log loss, Brier score, AUC, calibration."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log

EDGE = 1e-9
"""Chances are kept this far from 0 and 1 for the log loss only."""

BINS = 10


@dataclass(frozen=True, slots=True)
class Bin:
    """One bin of the calibration table: chances from ``low`` up to ``high``."""

    low: float
    high: float
    count: int
    mean_chance: float
    share_clean: float


@dataclass(frozen=True, slots=True)
class Scores:
    """How good ``n`` chances were. AUC is None where all came out the same way."""

    n: int
    log_loss: float
    brier: float
    auc: float | None
    ece: float
    bins: tuple[Bin, ...]


def score(chances: Sequence[float], clean: Sequence[bool]) -> Scores:
    """All scores of these chances against what happened; ValueError without any, or unequal."""
    if not chances or len(chances) != len(clean):
        raise ValueError("scores need as many outcomes as chances, and at least one")
    bins = calibration(chances, clean)
    return Scores(
        n=len(chances),
        log_loss=log_loss(chances, clean),
        brier=sum((p - y) ** 2 for p, y in zip(chances, clean, strict=True)) / len(chances),
        auc=auc(chances, clean),
        ece=sum(one.count * abs(one.mean_chance - one.share_clean) for one in bins) / len(chances),
        bins=bins,
    )


def log_loss(chances: Sequence[float], clean: Sequence[bool]) -> float:
    """The mean of minus the logarithm of the chance given to what happened."""
    total = 0.0
    for chance, happened in zip(chances, clean, strict=True):
        given = chance if happened else 1.0 - chance
        total -= log(min(1.0 - EDGE, max(EDGE, given)))
    return total / len(chances)


def auc(chances: Sequence[float], clean: Sequence[bool]) -> float | None:
    """How often a clean ride had a higher chance than one that was not; ties count half.

    By ranks (Mann and Whitney, 1947). None where all came out the same way.
    """
    positives = sum(clean)
    negatives = len(clean) - positives
    if not positives or not negatives:
        return None
    order = sorted(range(len(chances)), key=chances.__getitem__)
    rank_sum, place = 0.0, 0
    while place < len(order):
        end = place
        while end < len(order) and chances[order[end]] == chances[order[place]]:
            end += 1
        shared = (place + 1 + end) / 2.0
        rank_sum += shared * sum(clean[order[index]] for index in range(place, end))
        place = end
    return (rank_sum - positives * (positives + 1) / 2.0) / (positives * negatives)


def calibration(chances: Sequence[float], clean: Sequence[bool]) -> tuple[Bin, ...]:
    """Ten bins of equal width, the empty ones left out.

    The weighted mean of the gaps is the expected calibration error (Naeini, Cooper
    and Hauskrecht, 2015).
    """
    counts, sums, cleans = [0] * BINS, [0.0] * BINS, [0] * BINS
    for chance, happened in zip(chances, clean, strict=True):
        index = min(BINS - 1, int(chance * BINS))
        counts[index] += 1
        sums[index] += chance
        cleans[index] += happened
    return tuple(
        Bin(i / BINS, (i + 1) / BINS, counts[i], sums[i] / counts[i], cleans[i] / counts[i])
        for i in range(BINS)
        if counts[i]
    )
