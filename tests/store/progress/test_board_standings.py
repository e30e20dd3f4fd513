"""What the riders of a session are flagged for, as the board shows it."""

from __future__ import annotations

from datetime import timedelta

import pytest

from app.rules.settings import SchoolSettings
from app.store.database import Database
from app.store.progress.board_standings import flagged_on_board
from app.store.progress.picture import load_picture
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.queries import counted
from tests.support.riding import ride_often, variant

NOW = START + timedelta(hours=1)
SETTINGS = SchoolSettings()


def test_it_agrees_with_the_students_own_page(either: Database, who: Cast) -> None:
    ride_often(either, who, sessions=4, rides=4)
    ways = [variant(either, code) for code in ("slalom", "u_turn", "slow_ride")]
    with either.reading() as session:
        found = flagged_on_board(session, [who.learner, who.stranger], ways, NOW, SETTINGS)
        picture = load_picture(session, who.learner, NOW, SETTINGS)
        judged = {way: picture.assessment(way) for way in ways}
    assert set(found[who.learner]) == {way for way, one in judged.items() if one.flagged}
    assert found[who.stranger] == dict.fromkeys(found[who.stranger], "not yet ridden")
    assert len(found[who.stranger]) == 3
    ridden = [way for way in found[who.learner] if judged[way].rides]
    assert list(found[who.learner])[: len(ridden)] == ridden
    assert ridden == sorted(ridden, key=lambda way: judged[way].chance)


@pytest.mark.parametrize("students", [1, 2])
def test_it_asks_three_questions_however_many_ride(
    either: Database, who: Cast, students: int
) -> None:
    ride_often(either, who, sessions=2, rides=4)
    chosen = [who.learner, who.stranger][:students]
    slalom = variant(either, "slalom")
    with counted(either) as asked, either.reading() as session:
        flagged_on_board(session, chosen, [slalom], NOW, SETTINGS)
    assert len(asked) == 3
