"""The backtest without files: on the school's own rides and real results."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner, Result

from app.commands import cli
from app.commands.calibration import EDGE, SIDE, calibration_svg
from app.rules.diary.values import BookingState, TestResult
from app.rules.progress.scores import Bin
from app.store.database import Database
from app.store.diary.tables import BookingRow
from app.store.progress.writes import settle_results
from tests.commands.test_backtest import KEYS
from tests.store.progress.test_outlook import real_test
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.riding import STALL, a_ride, record, ride_often, variant

CIRCLE = "{http://www.w3.org/2000/svg}circle"


@pytest.fixture(autouse=True)
def environment(monkeypatch: pytest.MonkeyPatch, url: str) -> None:
    """A server's environment over the test's own database."""
    monkeypatch.setenv("YARDMARK_DATABASE_URL", url)
    monkeypatch.setenv("YARDMARK_SECRET_KEY", "k" * 40)


@pytest.fixture
def who(database: Database, people: Cast) -> Cast:
    """The cast, two of whom have ridden: Lena in the past, Stan today beside her."""
    ride_often(database, people, sessions=4, rides=4)
    slalom = variant(database, "slalom")
    with database.writing() as session:
        session.get_one(BookingRow, people.other_booking).state = BookingState.NO_SHOW
        session.flush()
        session.add(
            BookingRow(
                session_id=people.session,
                student_id=people.stranger,
                state=BookingState.BOOKED,
                booked_at=START,
            )
        )
    faults = [(), (STALL,), (), ()]
    record(
        database,
        people,
        *(
            a_ride(people, slalom, people.session, n, student_id=people.stranger, faults=seen)
            for n, seen in enumerate(faults)
        ),
    )
    return people


def backtest(*words: object) -> Result:
    """Run the command."""
    return CliRunner().invoke(cli, ["backtest", *map(str, words)])


def written(out: Path) -> dict[str, Any]:
    """What the command wrote to a file."""
    result = backtest("--json", out)
    assert result.exit_code == 0, result.output
    found: dict[str, Any] = json.loads(out.read_text(encoding="utf-8"))
    return found


def test_every_ride_is_scored_once_by_the_other_half(who: Cast, tmp_path: Path) -> None:
    found = written(tmp_path / "out.json")
    assert found.keys() == KEYS | {"baselines", "real_results"}
    assert found["n"] == 4 * 4 * 4 + 4
    assert {rival["n"] for rival in found["baselines"].values()} == {found["n"]}
    assert found["real_results"] == {"n": 0}


def test_real_results_are_scored_beside_it(who: Cast, database: Database, tmp_path: Path) -> None:
    real_test(database, who, 1, TestResult.PASS)
    settle_results(database)
    found = written(tmp_path / "out.json")["real_results"]
    assert (found["n"], found["passed"]) == (1, 1.0)
    assert found["brier"] == pytest.approx((1.0 - found["said"]) ** 2)


def test_the_calibration_picture_is_drawn(who: Cast, tmp_path: Path) -> None:
    svg = tmp_path / "calibration.svg"
    result = backtest("--svg", svg)
    assert result.exit_code == 0, result.output
    dots = list(ElementTree.parse(svg).iter(CIRCLE))  # noqa: S314 (our own file)
    assert len(dots) == result.output.split("Calibration")[1].count(" to ")


def test_a_dot_stands_where_its_bin_says() -> None:
    picture = calibration_svg([Bin(0.7, 0.8, 40, 0.75, 0.5), Bin(0.1, 0.2, 10, 0.15, 0.2)])
    dots = [node.attrib for node in ElementTree.fromstring(picture).iter(CIRCLE)]  # noqa: S314
    assert float(dots[0]["cx"]) == EDGE + 0.75 * SIDE
    assert float(dots[0]["cy"]) == EDGE + 0.5 * SIDE
    assert float(dots[0]["r"]) == 2 * float(dots[1]["r"])


def test_a_school_with_too_few_students_is_told_so(database: Database, people: Cast) -> None:
    result = backtest()
    assert result.exit_code == 1
    assert "Two students with rides are needed at least." in result.output


@pytest.mark.parametrize("option", ["--fit", "--score"])
def test_one_file_alone_is_refused(tmp_path: Path, option: str) -> None:
    file = tmp_path / "one.csv"
    file.write_text("student,manoeuvre,order,day,clean\na,b,1,,1\n", encoding="utf-8")
    result = backtest(option, file)
    assert result.exit_code == 2
    assert "Give both --fit and --score" in result.output
