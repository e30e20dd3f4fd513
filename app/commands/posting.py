"""All that is done before and while email leaves, for every command that sends."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from app.config import Config
from app.rules.words import count_words
from app.store.database import Database
from app.store.diary.letter_truth import no_longer_so
from app.store.diary.life import tidy
from app.store.diary.reminders import reminders_due
from app.store.post_office import Office, Round, send_owed

Step = Callable[[Database, datetime], str]
"""Something that time alone brings on; what it did in a few words, or nothing."""


def _tidy(database: Database, now: datetime) -> str:
    done = tidy(database, now)
    ended = f"{count_words(done.lapsed, 'hold')} ended" if done.lapsed else ""
    offered = f"{count_words(done.offered, 'free place')} offered" if done.offered else ""
    return ", ".join(said for said in (ended, offered) if said)


def _remind(database: Database, now: datetime) -> str:
    made = reminders_due(database, now)
    return f"{count_words(made, 'reminder')} written" if made else ""


STEPS: tuple[Step, ...] = (_tidy, _remind)
"""What is done before email is sent, in this order, so that what follows from it leaves too."""


def prepare(database: Database, now: datetime) -> list[str]:
    """Do each step; what they did."""
    return [said for step in STEPS if (said := step(database, now))]


def deliver(database: Database, config: Config, now: datetime) -> Round:
    """Send what is owed. Raises CannotSend; the configuration must name a mail server."""
    if config.smtp is None:
        raise ValueError("there is no mail server to send with")
    office = Office(config.smtp, config.sender, config.base_url)
    return send_owed(database, office, now, no_longer_so)


def round_words(done: Round) -> list[str]:
    """``3 messages sent``, and whatever else became of messages."""
    others = {
        "refused": done.refused,
        "put off": done.put_off,
        "no longer true and not sent": done.dropped,
    }
    sent = f"{count_words(done.sent, 'message')} sent"
    return [sent, *(f"{number} {words}" for words, number in others.items() if number)]
