"""Scores the chance of a clean ride honestly: parameters from some students, scored on others."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from time import process_time
from typing import Any

import click

from app.commands.calibration import calibration_svg
from app.commands.ground import school
from app.rules.progress.estimate import (
    ROUNDS,
    Estimate,
    chances_of,
    estimate_population,
)
from app.rules.progress.parameters import Parameters
from app.rules.progress.regression import passes
from app.rules.progress.rivals import RIVALS, Known, Rival, learn
from app.rules.progress.scores import Scores, score
from app.rules.progress.sequences import (
    Attempt,
    BadSequences,
    Row,
    attempts,
    attempts_of_rides,
    by_student,
    read_rows,
)
from app.store.progress.results import real_results
from app.store.progress.states import rides_by_student

Students = list[list[Attempt]]
Predict = Callable[[Sequence[Attempt]], list[float]]
CSV_FILE = click.Path(exists=True, dir_okay=False, path_type=Path)
JSON_FILE = click.Path(dir_okay=False, writable=True, path_type=Path)


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the result: its scores, and processor time in microseconds an attempt."""

    name: str
    scores: Scores
    microseconds: float
    chances: list[float]
    clean: list[bool]

    def figures(self) -> dict[str, Any]:
        """The figures as they are written to the file."""
        return {
            "n": self.scores.n,
            "log_loss": self.scores.log_loss,
            "brier": self.scores.brier,
            "auc": self.scores.auc,
            "ece": self.scores.ece,
            "microseconds_per_update": self.microseconds,
        }


@click.command("backtest")
@click.option("--fit", type=CSV_FILE, help="Sequences to take the parameters from.")
@click.option("--score", "scored", type=CSV_FILE, help="Sequences to predict.")
@click.option("--json", "out", type=JSON_FILE, help="Where to write the figures.")
@click.option("--svg", type=JSON_FILE, help="Where to draw the calibration picture.")
def backtest(fit: Path | None, scored: Path | None, out: Path | None, svg: Path | None) -> None:
    """Score the chance of a clean ride, one step ahead, on students it was not fitted on.

    Both files are CSV with the header student,manoeuvre,order,day,clean; day may
    be empty. A bad line is named and nothing is scored. Without files, the school's
    own rides are scored, each half of its students by the figures of the other, and
    the chances of passing against its real results.
    """
    if fit is None and scored is None:
        own_rides(out, svg)
        return
    if fit is None or scored is None:
        raise click.UsageError(
            "Give both --fit and --score, or neither for the school's own rides."
        )
    model, rivals = _of_files(fit, scored)
    _tell(model, rivals, out, svg, {})


def own_rides(out: Path | None, svg: Path | None) -> None:
    """Score the engine on the school's own rides and real results."""
    with school() as database, database.reading() as session:
        rides, results = rides_by_student(session), real_results(session)
    students = [attempts_of_rides(ridden) for ridden in rides.values()]
    halves = [students[0::2], students[1::2]]
    if not all(halves):
        raise click.ClickException("Two students with rides are needed at least.")
    crossed = [_lines(one, other, _estimate(one).parameters) for one, other in _both_ways(halves)]
    (first, rivals), (second, others) = crossed
    model = _joined(first, second)
    both = [_joined(a, b) for a, b in zip(rivals, others, strict=True)]
    _tell(model, both, out, svg, _real(results))


def _both_ways(halves: list[Students]) -> list[tuple[Students, Students]]:
    return [(halves[0], halves[1]), (halves[1], halves[0])]


def _real(results: Sequence[tuple[float, bool]]) -> dict[str, Any]:
    """How the chances of passing did against real results, for the file and on the screen."""
    if not results:
        click.echo("No real result with rides before it is known yet.")
        return {"real_results": {"n": 0}}
    found = score([chance for chance, _ in results], [passed for _, passed in results])
    said = sum(chance for chance, _ in results) / found.n
    passed = sum(passed for _, passed in results) / found.n
    words = f"{found.n} real results: said {said:.3f}, passed {passed:.3f}"
    click.echo(f"{words}, log loss {found.log_loss:.4f}, Brier {found.brier:.4f}")
    figures = {"n": found.n, "said": said, "passed": passed}
    return {"real_results": figures | {"log_loss": found.log_loss, "brier": found.brier}}


def _joined(one: Line, other: Line) -> Line:
    """The line over the attempts of both halves."""
    chances, clean = one.chances + other.chances, one.clean + other.clean
    spent = one.microseconds * one.scores.n + other.microseconds * other.scores.n
    return Line(one.name, score(chances, clean), spent / len(chances), chances, clean)


def _of_files(fit: Path, scored: Path) -> tuple[Line, list[Line]]:
    ids: dict[str, int] = {}
    fit_rows, score_rows = _rows(fit), _rows(scored)
    _warn_of_the_same(fit_rows, score_rows)
    fit_students, score_students = _students(fit_rows, ids), _students(score_rows, ids)
    found = _estimate(fit_students)
    return _lines(fit_students, score_students, found.parameters)


def _tell(
    model: Line, rivals: list[Line], out: Path | None, svg: Path | None, more: dict[str, Any]
) -> None:
    """Write the files that were asked for, and the tables."""
    if out:
        baselines = {one.name: one.figures() for one in rivals}
        _write(out, json.dumps(model.figures() | {"baselines": baselines} | more, indent=2) + "\n")
    if svg:
        _write(svg, calibration_svg(model.scores.bins))
    click.echo(_table([model, *rivals]))
    click.echo(_calibration(model.scores))


def _rows(path: Path) -> list[Row]:
    try:
        with path.open(encoding="utf-8", newline="") as lines:
            rows = read_rows(lines)
    except UnicodeDecodeError as error:
        raise click.ClickException(f"{path.name} is not UTF-8 text: {error.reason}.") from error
    except BadSequences as error:
        raise click.ClickException(_refusal(path, error)) from error
    if not rows:
        raise click.ClickException(f"{path.name} has no attempts in it.")
    return rows


def _warn_of_the_same(fit: Sequence[Row], scored: Sequence[Row]) -> None:
    both = {row.student for row in fit} & {row.student for row in scored}
    if both:
        words = f"{len(both)} students have the same name in both files."
        click.echo(f"{words} If they are the same people, the scores flatter.", err=True)


def _write(out: Path, text: str) -> None:
    try:
        out.write_text(text, encoding="utf-8")
    except OSError as error:
        raise click.ClickException(f"{out} cannot be written: {error.strerror}.") from error


def _students(rows: Sequence[Row], ids: dict[str, int]) -> Students:
    return [list(attempts(ridden, ids)) for ridden in by_student(rows).values()]


def _refusal(path: Path, error: BadSequences) -> str:
    more = error.count - len(error.problems)
    named = "\n".join(f"  {problem}" for problem in error.problems)
    rest = f"\n  and {more} more" if more else ""
    return f"{path.name} has lines that cannot be used, so nothing was scored.\n{named}{rest}"


def _estimate(students: Students) -> Estimate:
    length = ROUNDS * len(students)
    with click.progressbar(length=length, label="Fitting") as bar:
        return estimate_population(students, tick=lambda: bar.update(1))


def _lines(
    fit_students: Students, students: Students, parameters: Parameters
) -> tuple[Line, list[Line]]:
    """The model's line and those of its rivals, on the same attempts."""
    known = _known(fit_students)
    clean = [attempt.evidence.clean for student in students for attempt in student]
    predictors: dict[str, Predict] = {"model": partial(chances_of, parameters=parameters)}
    predictors |= {name: _as_predictor(rival, known) for name, rival in RIVALS.items()}
    with click.progressbar(length=len(students) * len(predictors), label="Scoring") as bar:
        lines = [
            _timed(name, predict, students, clean, bar.update)
            for name, predict in predictors.items()
        ]
    return lines[0], lines[1:]


def _known(students: Students) -> Known:
    length = passes(students) * len(students)
    with click.progressbar(length=length, label="Fitting the rivals") as bar:
        return learn(students, tick=lambda: bar.update(1))


def _as_predictor(rival: Rival, known: Known) -> Predict:
    return lambda student: rival(student, known)


def _timed(
    name: str,
    predict: Predict,
    students: Students,
    clean: list[bool],
    progressed: Callable[[int], None],
) -> Line:
    chances: list[float] = []
    spent = 0.0
    for student in students:
        begun = process_time()
        found = predict(student)
        spent += process_time() - begun
        chances += found
        progressed(1)
    return Line(name, score(chances, clean), 1e6 * spent / len(chances), chances, clean)


def _table(lines: Sequence[Line]) -> str:
    head = f"{'':14}{'attempts':>10}{'log loss':>10}{'Brier':>8}{'AUC':>8}{'ECE':>8}{'us each':>9}"
    return "\n".join([head, *map(_table_line, lines)])


def _table_line(line: Line) -> str:
    found = line.scores
    auc = "-" if found.auc is None else f"{found.auc:.4f}"
    name = line.name.replace("_", " ")
    return (
        f"{name:14}{found.n:>10}{found.log_loss:>10.4f}{found.brier:>8.4f}"
        f"{auc:>8}{found.ece:>8.4f}{line.microseconds:>9.2f}"
    )


def _calibration(scores: Scores) -> str:
    rows = [
        f"{one.low:.1f} to {one.high:.1f}{one.count:>10}{one.mean_chance:>10.3f}"
        f"{one.share_clean:>10.3f}"
        for one in scores.bins
    ]
    return "\n".join(
        ["\nCalibration", f"{'chance':10}{'attempts':>10}{'said':>10}{'was':>10}", *rows]
    )
