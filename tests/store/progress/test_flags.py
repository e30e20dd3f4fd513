"""The list of all flags: whom it holds, and what it says of them."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.rules.categories import Category
from app.rules.progress.target import Standing
from app.rules.settings import SchoolSettings
from app.store.database import Database
from app.store.diary.tables import BookingRow, SessionRow
from app.store.people.tables import StudentRow
from app.store.progress.flag_students import Wanted, Where
from app.store.progress.flags import PAGE, Flags, flag_page
from app.store.progress.reads import student_progress
from app.store.progress.writes import strike_out
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.databases import SqliteFactory, furnish
from tests.support.queries import counted
from tests.support.riding import STALL, a_ride, ines, past_session, record, ride_often, variant

SETTINGS = SchoolSettings()
EVERYONE = Where.SCHOOL


def flags(database: Database, now: datetime = START, page: int = 1, **wanted: object) -> Flags:
    """One page of the list."""
    with database.reading() as session:
        return flag_page(session, Wanted(**wanted), now, SETTINGS, page)  # type: ignore[arg-type]


def names(found: Flags) -> list[str]:
    """Who is in it."""
    return [one.name for one in found.students]


def test_the_week_is_those_booked_in_it(either: Database, who: Cast) -> None:
    assert names(flags(either)) == ["Lena Wren", "Stan Crake"]
    assert names(flags(either, START + timedelta(days=7))) == []
    assert names(flags(either, START + timedelta(days=7), where=EVERYONE)) == [
        "Lena Wren",
        "Stan Crake",
    ]


def test_one_session_is_those_booked_in_it(either: Database, who: Cast) -> None:
    assert names(flags(either, session_id=who.other_session)) == ["Stan Crake"]
    assert names(flags(either, session_id=99)) == []


def test_a_place_given_up_and_a_session_cancelled_count_for_nothing(
    either: Database, who: Cast
) -> None:
    with either.writing() as session:
        session.get_one(SessionRow, who.other_session).cancelled_at = START
        session.delete(session.get_one(BookingRow, who.booking))
    assert names(flags(either)) == []
    assert names(flags(either, where=Where.LEARNING)) == []


def test_learning_now_is_who_rode_lately_or_is_booked(either: Database, who: Cast) -> None:
    slalom = variant(either, "slalom")
    record(either, who, a_ride(who, slalom, who.session))
    for days, expected in ((0, ["Lena Wren", "Stan Crake"]), (80, ["Lena Wren"]), (91, [])):
        now = START + timedelta(days=days)
        assert names(flags(either, now, where=Where.LEARNING)) == expected


def test_an_instructors_students_are_those_booked_and_those_taught_last(
    either: Database, who: Cast
) -> None:
    def mine(now: datetime) -> list[str]:
        return names(flags(either, now, where=EVERYONE, instructor_id=who.instructor))

    later = START + timedelta(days=5)
    assert mine(START) == mine(later) == ["Lena Wren"]
    with either.writing() as session:
        training = SessionRow(
            yard_id=who.yard,
            instructor_id=who.other_instructor,
            kind=session.get_one(SessionRow, who.session).kind,
            starts_at=START + timedelta(days=1),
            ends_at=START + timedelta(days=1, hours=2),
            places=4,
        )
        session.add(training)
        session.flush()
        held = session.get_one(BookingRow, who.booking)
        session.add(
            BookingRow(
                session_id=training.id,
                student_id=who.learner,
                state=held.state,
                booked_at=START,
            )
        )
    assert mine(later) == []


def test_a_flag_says_what_the_students_own_page_says(either: Database, who: Cast) -> None:
    slalom = variant(either, "slalom")
    record(either, who, a_ride(who, slalom, who.session, faults=(STALL,)))
    lena = flags(either, session_id=who.session).students[0]
    assert [(one.name, one.standing) for one in lena.flags] == [("Slalom", "working on it")]
    assert lena.flags[0].why.startswith("Ridden once, not clean;")
    assert len(lena.new) == 9
    assert lena.coming is not None
    assert lena.coming.instructor == "Ines Heron"


def test_flags_for_the_same_reason_stand_together(either: Database, who: Cast) -> None:
    both = [variant(either, "slalom"), variant(either, "slow_ride")]
    trainings = [(past_session(either, who, 9), 9), (who.session, 0)]
    for training, days in trainings:
        record(
            either,
            who,
            *(
                a_ride(who, each, training, 2 * turn + place, days=days)
                for turn in range(8)
                for place, each in enumerate(both)
            ),
        )
    lena = flags(either, START + timedelta(days=22), where=EVERYONE).students[0]
    assert [[flag.name for flag in alike] for alike in lena.alike] == [["Slalom", "Slow ride"]]
    assert lena.alike[0][0].standing == "needs a refresh"


def test_a_manoeuvre_narrows_what_is_told(either: Database, who: Cast) -> None:
    lena = flags(either, manoeuvre="avoidance", session_id=who.session).students[0]
    assert lena.new == ("Hazard avoidance to the left", "Hazard avoidance to the right")
    assert flags(either, manoeuvre="nothing").students[0].new == ()


@pytest.mark.parametrize("where", [Where.WEEK, EVERYONE])
def test_one_who_rode_everything_has_nothing_new(either: Database, who: Cast, where: Where) -> None:
    slalom = variant(either, "slalom")
    record(either, who, a_ride(who, slalom, who.session))
    found = flags(either, where=where, manoeuvre="slalom", standing=Standing.NOT_RIDDEN)
    assert names(found) == ["Stan Crake"]


def test_pages_are_in_order_of_name(database: Database) -> None:
    furnish(database)
    add_students(database, PAGE + 10)
    first, second = (flags(database, where=EVERYONE, page=n) for n in (1, 2))
    assert (len(first.students), len(second.students), second.leaf.pages) == (PAGE, 12, 2)
    everyone = names(first) + names(second)
    assert everyone == sorted(everyone)


def test_beside_each_flag_stand_its_last_rides_of_that_student_alone(
    either: Database, who: Cast
) -> None:
    slalom, u_turn = variant(either, "slalom"), variant(either, "u_turn")
    earlier = past_session(either, who, 9)
    record(either, who, *(a_ride(who, slalom, earlier, n, days=9) for n in range(5)))
    late = [a_ride(who, slalom, who.session, n, faults=(STALL,)) for n in range(3)]
    kept = record(either, who, *late, a_ride(who, u_turn, who.session, 9))
    strike_out(either, ines(who), kept[0], "Not hers", START)
    lena = flags(either, session_id=who.session).students[0]
    cones = {flag.name: [ride.cone for ride in flag.cones] for flag in lena.flags}
    assert cones == {
        "Slalom": ["standing"] * 3 + ["outline", "leaning", "leaning"],
        "U-turn": ["standing"],
    }
    assert [ride.attempt_id for ride in lena.flags[0].cones[-2:]] == kept[1:3]
    stan = flags(either, session_id=who.other_session).students[0]
    assert stan.flags == ()


def add_students(database: Database, number: int) -> None:
    """Students of whom nothing is known."""
    with database.writing() as session:
        for each in range(number):
            name = f"Student {each:03d}"
            session.add(StudentRow(name=name, category=Category.A, created_at=START))


RIDDEN = st.lists(st.tuples(st.integers(0, 3), st.booleans()), max_size=12)


@given(ridden=RIDDEN, days=st.integers(0, 40))
@settings(max_examples=15, deadline=None)
def test_a_standing_finds_exactly_those_who_are_judged_so(
    ridden: list[tuple[int, bool]], days: int, sqlite_factory: SqliteFactory
) -> None:
    database = Database(sqlite_factory.fresh())
    try:
        who = furnish(database)
        trainings = [who.session, *(past_session(database, who, n) for n in (3, 6, 9))]
        slalom = variant(database, "slalom")
        for minute, (place, clean) in enumerate(ridden):
            faults = () if clean else (STALL,)
            ago = (0, 3, 6, 9)[place]
            ride = a_ride(who, slalom, trainings[place], minute, days=ago, faults=faults)
            record(database, who, ride)
        now = START + timedelta(days=days, hours=5)
        with database.reading() as session:
            progress = student_progress(session, who.learner, now, SETTINGS)
        judged = next(m for m in progress.manoeuvres if m.about.code == "slalom")
        for standing in Standing:
            found = names(
                flags(database, now, where=EVERYONE, manoeuvre="slalom", standing=standing)
            )
            expected = judged.weakest.assessment.standing is standing
            assert ("Lena Wren" in found) is expected
    finally:
        database.close()


def test_its_queries_do_not_grow_with_students_nor_rides(database: Database) -> None:
    who = furnish(database)
    numbers = []
    for _ in range(2):
        with counted(database) as seen:
            for standing in (None, *Standing):
                flags(database, where=EVERYONE, standing=standing)
        numbers.append(len(seen))
        ride_often(database, who, sessions=4, rides=6)
        add_students(database, 70)
    assert numbers[0] == numbers[1]
