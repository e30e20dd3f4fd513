"""The shipped syllabus: loaded once, released again, and never over the school's own edits."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from threading import Barrier, Thread

import pytest
from sqlalchemy import func, select, update

from app.rules.categories import Category
from app.rules.riding.values import Severity
from app.store.audit import AuditEntryRow
from app.store.database import Database
from app.store.riding.course import Course, load_course
from app.store.riding.reference import FOLDER, Loaded, load_reference, read_shipped
from app.store.riding.tables import (
    FaultKindRow,
    ManoeuvreFaultRow,
    ManoeuvreRow,
    MinimumSpeedRow,
    ReferenceItemRow,
    SyllabusRow,
    VariantRow,
)
from tests.support.clock import START
from tests.support.queries import counted

Release = Callable[..., Loaded]


@pytest.fixture
def release(either: Database, tmp_path: Path) -> Release:
    """Load a release: the shipped files with a version and with some of their text replaced."""

    def load(version: int, *changes: tuple[str, str]) -> Loaded:
        folder = tmp_path / str(version)
        shutil.copytree(FOLDER, folder)
        used = set()
        for file in folder.glob("*.toml"):
            text = file.read_text(encoding="utf-8").replace("version = 1", f"version = {version}")
            for old, new in changes:
                used |= {old} if old in text else set()
                text = text.replace(old, new)
            file.write_text(text, encoding="utf-8")
        assert used == {old for old, _ in changes}, "a change of the test changes nothing"
        return load_reference(either, START, folder)

    return load


def course(db: Database) -> Course:
    """The syllabus as the school has it."""
    with db.reading() as session:
        return load_course(session)


def test_what_is_loaded_is_what_is_shipped(either: Database) -> None:
    loaded = load_reference(either, START)
    assert course(either).syllabus == read_shipped()
    assert loaded.kept_edits == ()
    assert len(loaded.written) == 1 + 9 + 24


def test_a_second_load_of_the_same_version_writes_nothing(either: Database) -> None:
    load_reference(either, START)
    with counted(either) as statements:
        assert load_reference(either, START) == Loaded(1)
    assert all(each.startswith("SELECT") for each in statements)


def test_two_servers_that_start_at_once_load_it_once(either: Database) -> None:
    together = Barrier(2)

    def start() -> None:
        together.wait(timeout=10)
        load_reference(either, START)

    servers = [Thread(target=start) for _ in range(2)]
    for server in servers:
        server.start()
    for server in servers:
        server.join(timeout=30)
    with either.reading() as session:
        assert session.scalar(select(func.count()).select_from(VariantRow)) == 10
        assert session.scalar(select(func.count()).select_from(SyllabusRow)) == 1
        assert session.scalar(select(func.count()).select_from(AuditEntryRow)) == 1


def test_a_new_release_reaches_what_the_school_left_alone(
    either: Database, release: Release
) -> None:
    release(1)
    release(2, ('name = "Slow ride"', 'name = "Slow ride to the box"'), ("AM = 30.0", "AM = 31.0"))
    now = course(either).syllabus
    assert now.version == 2
    assert now.manoeuvre("slow_ride").name == "Slow ride to the box"
    assert now.manoeuvre("avoidance").minimum_for(Category.AM) == 31.0


def test_the_schools_own_edits_survive_a_release_field_by_field(
    either: Database, release: Release
) -> None:
    release(1)
    with either.writing() as session:
        u_turn = session.scalars(select(ManoeuvreRow).filter_by(code="u_turn")).one()
        u_turn.minutes, u_turn.coaching_points = 4.5, ["Our own point."]
        stall = session.scalars(select(FaultKindRow).filter_by(code="stall")).one()
        default = session.get_one(ManoeuvreFaultRow, (u_turn.id, stall.id))
        default.severity = Severity.SERIOUS
        stop = session.scalars(select(ManoeuvreRow).filter_by(code="emergency_stop")).one()
        session.get_one(MinimumSpeedRow, (stop.id, Category.A)).kmh = 52.0
    loaded = release(2, ('name = "U-turn"', 'name = "U-turn between two lines"'))
    now = course(either).syllabus
    assert now.manoeuvre("u_turn").name == "U-turn between two lines"
    assert now.manoeuvre("u_turn").minutes == 4.5
    assert now.manoeuvre("u_turn").coaching_points == ("Our own point.",)
    assert now.manoeuvre("emergency_stop").minimum_kmh[Category.A] == 52.0
    assert now.manoeuvre("emergency_stop").minimum_kmh[Category.A2] == 50.0
    default_now = now.fault_kind("stall").default_for("u_turn")
    assert default_now is not None
    assert default_now.severity is Severity.SERIOUS
    assert set(loaded.kept_edits) == {
        "manoeuvre.u_turn.minutes",
        "manoeuvre.u_turn.coaching_points",
        "manoeuvre.emergency_stop.minimum_kmh.A",
        "fault_kind.stall.defaults.u_turn.severity",
    }


def test_an_edit_is_still_an_edit_two_releases_later(either: Database, release: Release) -> None:
    release(1)
    with either.writing() as session:
        session.execute(
            update(ManoeuvreRow).filter_by(code="u_turn").values(name="Turn in the road")
        )
    release(2, ('name = "U-turn"', 'name = "U-turn between two lines"'))
    release(3, ('name = "U-turn"', 'name = "U-turn, either way"'))
    assert course(either).syllabus.manoeuvre("u_turn").name == "Turn in the road"


def test_what_a_release_drops_is_retired_and_keeps_its_name_for_old_rides(
    either: Database, release: Release
) -> None:
    release(1)
    left = next(v for v in course(either).variants if v.variant.code == "left")
    dropped = "[manoeuvres.avoidance.variants.left]", "[manoeuvres.avoidance.variants.other]"
    release(2, dropped)
    now = course(either)
    assert left.id not in {each.id for each in now.variants}
    assert now.named(left.id).name == "Hazard avoidance to the left"
    release(3)
    assert left.id in {each.id for each in course(either).variants}


def test_a_fault_kind_that_is_dropped_is_offered_no_longer(
    either: Database, release: Release
) -> None:
    release(1)
    kinds = set(course(either).fault_ids)
    release(2, ("[fault_kinds.wobble", "[fault_kinds.weaving"))
    now = course(either)
    assert "wobble" not in now.offers("slalom")
    assert "weaving" in now.offers("slalom")
    assert set(now.fault_ids) == {*kinds, "weaving"}
    with either.reading() as session:
        assert session.get(ReferenceItemRow, ("fault_kind", "wobble")) is None


def test_what_the_school_took_away_stays_away(either: Database, release: Release) -> None:
    release(1)
    with either.writing() as session:
        session.execute(update(ManoeuvreRow).filter_by(code="wheel").values(retired=True))
        session.execute(update(FaultKindRow).filter_by(code="wobble").values(retired=True))
        session.execute(update(VariantRow).filter_by(code="left").values(retired=True))
    loaded = release(2, ('name = "Wobble"', 'name = "Wobbled"'))
    now = course(either)
    assert "wheel" not in {each.code for each in now.syllabus.manoeuvres}
    assert "wobble" not in now.offers("slalom")
    assert "left" not in {each.variant.code for each in now.variants}
    assert {"manoeuvre.wheel", "fault_kind.wobble"} <= set(loaded.kept_edits)
    assert release(3).kept_edits == loaded.kept_edits


def test_a_release_is_in_the_audit_with_the_edits_that_it_kept(
    either: Database, release: Release
) -> None:
    release(1)
    with either.writing() as session:
        session.execute(update(ManoeuvreRow).filter_by(code="u_turn").values(minutes=9.0))
    release(2)
    with either.reading() as session:
        entry = session.scalars(select(AuditEntryRow).order_by(AuditEntryRow.id.desc())).first()
        assert entry is not None
        assert (entry.action, entry.subject) == ("loaded", "syllabuses")
        assert entry.details == {"version": 2, "kept_edits": ["manoeuvre.u_turn.minutes"]}
