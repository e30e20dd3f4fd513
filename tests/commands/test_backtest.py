"""The backtest as it is called: two files in, one file out, nothing scored by accident."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from app.commands import cli
from app.rules.progress.sequences import HEADER
from tests.rules.progress.simulated import Made, rows

KEYS = {"n", "log_loss", "brier", "auc", "ece", "microseconds_per_update"}


def write(path: Path, made: Made) -> Path:
    """A cohort as a file of sequences."""
    with path.open("w", encoding="utf-8", newline="") as out:
        writer = csv.writer(out)
        writer.writerow(HEADER)
        for row in rows(made):
            writer.writerow([row.student, row.manoeuvre, row.order, "", int(row.clean)])
    return path


@pytest.fixture
def fit(tmp_path: Path) -> Path:
    """Forty learners to take the parameters from."""
    return write(tmp_path / "fit.csv", Made(40, 40, 1))


@pytest.fixture
def scored(tmp_path: Path) -> Path:
    """Forty others to be scored on."""
    return write(tmp_path / "score.csv", Made(40, 40, 2))


def backtest(fit: Path, scored: Path, out: Path) -> Result:
    """Run the command."""
    words = ["backtest", "--fit", str(fit), "--score", str(scored), "--json", str(out)]
    return CliRunner().invoke(cli, words)


def figures(fit: Path, scored: Path, out: Path) -> dict[str, Any]:
    """What the command wrote."""
    result = backtest(fit, scored, out)
    assert result.exit_code == 0, result.output
    found: dict[str, Any] = json.loads(out.read_text(encoding="utf-8"))
    return found


def test_the_figures_and_those_of_the_rivals_are_written(
    fit: Path, scored: Path, tmp_path: Path
) -> None:
    found = figures(fit, scored, tmp_path / "out.json")
    assert found.keys() == KEYS | {"baselines"}
    assert found["baselines"].keys() == {"base_rate", "running_mean", "last_three", "regression"}
    assert all(rival.keys() == KEYS for rival in found["baselines"].values())
    assert found["n"] == 1600
    regression = found["baselines"].pop("regression")["log_loss"]
    assert all(found["log_loss"] < rival["log_loss"] for rival in found["baselines"].values())
    assert found["log_loss"] < regression + 0.01


def test_what_comes_later_in_the_scored_file_changes_no_earlier_chance(
    fit: Path, scored: Path, tmp_path: Path
) -> None:
    """One step ahead: with one learner's last outcome turned, only that attempt's loss differs."""
    lines = scored.read_text(encoding="utf-8").splitlines()
    turned = lines[-1][:-1] + ("0" if lines[-1].endswith("1") else "1")
    other = tmp_path / "turned.csv"
    other.write_text("\n".join([*lines[:-1], turned]) + "\n", encoding="utf-8")
    one = figures(fit, scored, tmp_path / "one.json")
    two = figures(fit, other, tmp_path / "two.json")
    losses = [
        1600 * abs(a["brier"] - b["brier"])
        for a, b in ((one, two), (one["baselines"]["base_rate"], two["baselines"]["base_rate"]))
    ]
    assert all(0 < loss < 1 for loss in losses)


def test_the_scored_file_does_not_move_the_parameters(
    fit: Path, scored: Path, tmp_path: Path
) -> None:
    whole = figures(fit, scored, tmp_path / "whole.json")
    lines = scored.read_text(encoding="utf-8").splitlines()
    halves = [lines[1:801], lines[801:]]
    losses = []
    for place, half in enumerate(halves):
        path = tmp_path / f"half{place}.csv"
        path.write_text("\n".join([lines[0], *half]) + "\n", encoding="utf-8")
        losses.append(figures(fit, path, tmp_path / "half.json")["log_loss"])
    assert whole["log_loss"] == pytest.approx(sum(losses) / 2, abs=1e-12)


def test_manoeuvres_not_in_the_fitted_file_are_scored(fit: Path, tmp_path: Path) -> None:
    new = tmp_path / "new.csv"
    new.write_text("student,manoeuvre,order,day,clean\nz,new,0,,1\nz,new,1,,0\n", encoding="utf-8")
    assert figures(fit, new, tmp_path / "out.json")["n"] == 2


def test_a_bad_line_is_named_and_nothing_is_scored(fit: Path, scored: Path, tmp_path: Path) -> None:
    with scored.open("a", encoding="utf-8") as lines:
        lines.write("z,easy,1,,maybe\n")
    out = tmp_path / "out.json"
    result = backtest(fit, scored, out)
    assert result.exit_code == 1
    assert "line 1602: clean is neither 0 nor 1: 'maybe'" in result.output
    assert not out.exists()


@pytest.mark.parametrize(
    ("content", "complaint"),
    [
        (b"", "the header must be"),
        (b"student,manoeuvre,order,day,clean\n", "has no attempts in it"),
        (b"student,manoeuvre,order,day,clean\n\xff\xfe,x,1,,1\n", "is not UTF-8 text"),
    ],
)
def test_a_file_that_is_no_table_is_refused(
    fit: Path, tmp_path: Path, content: bytes, complaint: str
) -> None:
    bad = tmp_path / "bad.csv"
    bad.write_bytes(content)
    result = backtest(fit, bad, tmp_path / "out.json")
    assert result.exit_code == 1
    assert complaint in result.output


def test_a_missing_file_and_a_place_that_cannot_be_written_are_said(
    fit: Path, scored: Path, tmp_path: Path
) -> None:
    missing = backtest(fit, tmp_path / "none.csv", tmp_path / "out.json")
    assert missing.exit_code == 2
    assert "does not exist" in missing.output
    nowhere = backtest(fit, scored, tmp_path / "no folder" / "out.json")
    assert nowhere.exit_code == 1
    assert "cannot be written" in nowhere.output


def test_the_same_students_in_both_files_are_pointed_out(fit: Path, tmp_path: Path) -> None:
    result = backtest(fit, fit, tmp_path / "out.json")
    assert "40 students have the same name in both files" in result.output
