"""The kinds of email that a student may get, and may choose not to."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum


class MessageKind(StrEnum):
    """What an email to a student is about."""

    CONFIRMATION = "confirmation"
    CHANGE = "change"
    CANCELLATION = "cancellation"
    REMINDER = "reminder"
    OFFER = "offer"


MESSAGE_WORDS: Mapping[MessageKind, str] = {
    MessageKind.CONFIRMATION: "A place is booked",
    MessageKind.CHANGE: "A booking has changed",
    MessageKind.CANCELLATION: "A booking is cancelled",
    MessageKind.REMINDER: "The day before, what to bring and wear",
    MessageKind.OFFER: "A place has become free",
}
