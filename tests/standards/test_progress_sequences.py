"""The model beside its rivals on learners' real sequences, where a file of them is at hand.

Set YARDMARK_SEQUENCES to a CSV file with the columns of `backtest`, of some 100,000
attempts. None comes with the code. Split by learner: every fifth is scored,
in the order in which they first come, and the figures are taken from the others.
"""

from __future__ import annotations

import csv
import json
import os
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from app.commands import cli
from app.rules.progress.rivals import RIVALS

FILE = os.environ.get("YARDMARK_SEQUENCES", "")
FOLDS = 5
MOST = 1500
"""Learners taken at most, the first, so that it does not take long."""


def _split(whole: Path, fold: int, folder: Path) -> tuple[Path, Path]:
    """The lines of the learners to fit on, and those of the learners to score."""
    with whole.open(encoding="utf-8", newline="") as lines:
        header, *rows = csv.reader(lines)
    numbers: dict[str, int] = {}
    parts: tuple[list[list[str]], list[list[str]]] = ([header], [header])
    for row in rows:
        number = numbers.setdefault(row[0], len(numbers))
        if number < MOST:
            parts[number % FOLDS == fold].append(row)
    paths = folder / "fit.csv", folder / "score.csv"
    for path, part in zip(paths, parts, strict=True):
        with path.open("w", encoding="utf-8", newline="") as out:
            csv.writer(out).writerows(part)
    return paths


@pytest.mark.slow
@pytest.mark.skipif(not FILE, reason="no file of practice sequences named")
def test_the_model_is_below_every_rival_on_learners_it_has_not_seen(tmp_path: Path) -> None:
    fit, scored = _split(Path(FILE), 0, tmp_path)
    out = tmp_path / "out.json"
    words = ["backtest", "--fit", str(fit), "--score", str(scored), "--json", str(out)]
    result = CliRunner().invoke(cli, words)
    assert result.exit_code == 0, result.output
    found: dict[str, Any] = json.loads(out.read_text(encoding="utf-8"))
    assert found["baselines"].keys() == RIVALS.keys()
    assert all(found["log_loss"] < one["log_loss"] - 0.003 for one in found["baselines"].values())
    assert found["ece"] < 0.015
    assert found["microseconds_per_update"] <= 10.0
