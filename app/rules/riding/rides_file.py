"""The file that a tablet saves its rides in when they cannot be sent, as the desk takes it in."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from app.rules.refusal import Reason, Refused
from app.rules.riding.handed_in import Item, read_batch

MOST_FILE_BYTES = 256 * 1024
_LONGEST_NAME = 100
_NOT_ONE = "This is not a file of rides that a tablet saved."


@dataclass(frozen=True, slots=True)
class OnesRides:
    """What one account recorded on the tablet."""

    account_id: int
    name: str
    items: tuple[Item, ...]


def read_file(text: bytes, now: datetime) -> tuple[OnesRides, ...]:
    """The rides in a saved file, by who recorded them.

    Times stay as the tablet wrote them: when the file was saved says nothing of
    its clock now. Raises Refused for anything but such a file.
    """
    if len(text) > MOST_FILE_BYTES:
        raise Refused(Reason(f"A file has at most {MOST_FILE_BYTES // 1024} KB.", "file"))
    try:
        sent = json.loads(text)
    except (ValueError, RecursionError):
        raise Refused(Reason(_NOT_ONE, "file")) from None
    if not isinstance(sent, dict) or sent.get("yardmark_rides") != 1:
        raise Refused(Reason(_NOT_ONE, "file"))
    by_account = _by_account(sent.get("rides"))
    return tuple(
        OnesRides(account, name, _items(sent.get("tablet"), items, now))
        for (account, name), items in by_account.items()
    )


def _by_account(rides: Any) -> dict[tuple[int, str], list[Any]]:
    found: defaultdict[tuple[int, str], list[Any]] = defaultdict(list)
    for each in rides if isinstance(rides, list) else ():
        account, name, item = _three(each)
        found[account, name].append(item)
    if not found:
        raise Refused(Reason("There are no rides in this file.", "file"))
    return found


def _three(each: Any) -> tuple[int, str, Any]:
    values = each if isinstance(each, dict) else {}
    account, name = values.get("account"), values.get("name")
    if not isinstance(account, int) or isinstance(account, bool) or not 0 < account < 2**31:
        raise Refused(Reason(_NOT_ONE, "file"))
    if not isinstance(name, str) or not name.isprintable():
        raise Refused(Reason(_NOT_ONE, "file"))
    return account, name[:_LONGEST_NAME], values.get("item")


def _items(tablet: Any, items: Sequence[Any], now: datetime) -> tuple[Item, ...]:
    batch = {"tablet": tablet, "clock": now.isoformat(), "items": list(items)}
    try:
        return read_batch(batch, now).items
    except Refused:
        raise Refused(Reason(_NOT_ONE, "file")) from None
