"""What a tablet hands in: rides and strikes in any order, a batch in one transaction."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import datetime
from uuid import UUID

from sqlalchemy.orm import Session

from app.rules.accounts.roles import Actor
from app.rules.progress.evidence import Evidence
from app.rules.refusal import Missing
from app.rules.riding.handed_in import Item, ItemAnswer, NewStrike
from app.rules.riding.recording import NewRide, Word
from app.store.database import Database, Lock
from app.store.progress.states import evidence_of, parameters, rebuild_one, take_in
from app.store.riding.recording import RideBook, strike
from app.store.riding.tables import AttemptRow
from app.store.riding.tablet_order import in_tablet_order
from app.store.riding.waiting_strikes import apply_waiting, keep_waiting

_NOT_YOURS = "That ride is another instructor's, so it cannot be struck out here."


def take_batch(
    db: Database, by: Actor, items: Sequence[Item], now: datetime
) -> tuple[ItemAnswer, ...]:
    """Keep a batch in one transaction; an answer for each item, in the order given.

    Whatever is there already changes nothing. An item that cannot be kept is
    refused with its reason and keeps no other out. A strike whose ride is not
    there yet waits for it.
    """
    with db.writing(Lock.DIARY, Lock.RIDES) as session:
        return take_items(session, by, items, now)


def take_items(
    session: Session, by: Actor, items: Sequence[Item], now: datetime
) -> tuple[ItemAnswer, ...]:
    """The same in the caller's transaction."""
    intake = _Intake(session, by, now)
    answers = tuple(intake.answer(item) for item in in_tablet_order(session, items, now))
    intake.count()
    return answers


class _Intake:
    """One batch in one open transaction, and whose standings it moves."""

    def __init__(self, session: Session, by: Actor, now: datetime) -> None:
        self.session, self.by, self.now = session, by, now
        self._book = RideBook(session, by, now)
        self._saved: list[UUID] = []
        self._struck: set[int] = set()

    def answer(self, item: Item) -> ItemAnswer:
        """Take one item."""
        if isinstance(item, NewRide):
            return self._ride(item)
        if isinstance(item, NewStrike):
            return self._strike(item)
        return ItemAnswer(item.sent_id, Word.REFUSED, item.reason)

    def _ride(self, ride: NewRide) -> ItemAnswer:
        answer = self._book.keep(ride)
        if answer.word is Word.SAVED:
            self._saved.append(ride.attempt_id)
            apply_waiting(self.session, self.session.get_one(AttemptRow, ride.attempt_id), self.now)
        return ItemAnswer(str(answer.attempt_id), answer.word, answer.reason)

    def _strike(self, item: NewStrike) -> ItemAnswer:
        sent = str(item.strike_id)
        row = self.session.get(AttemptRow, item.ride_id)
        if row is None:
            return ItemAnswer(sent, keep_waiting(self.session, self.by, item, self.now))
        was_struck = row.struck_at is not None
        try:
            student = strike(self.session, self.by, item.ride_id, item.reason, self.now)
        except Missing:
            return ItemAnswer(sent, Word.REFUSED, _NOT_YOURS)
        if was_struck:
            return ItemAnswer(sent, Word.ALREADY_HAD)
        self._struck.add(student)
        return ItemAnswer(sent, Word.SAVED)

    def count(self) -> None:
        """Bring the standings of everyone whose rides changed up to date."""
        fresh: defaultdict[int, list[Evidence]] = defaultdict(list)
        for row in self._rows(self._saved):
            evidence = evidence_of(row)
            if evidence is not None and row.student_id not in self._struck:
                fresh[row.student_id].append(evidence)
        for student, rides in fresh.items():
            take_in(self.session, student, rides)
        fixed = parameters(self.session)
        for student in sorted(self._struck):
            rebuild_one(self.session, student, fixed)

    def _rows(self, ids: Iterable[UUID]) -> list[AttemptRow]:
        return [self.session.get_one(AttemptRow, each) for each in ids]
