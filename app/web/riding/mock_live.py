"""A mock test as data, for the scripts that go on with it where there is no network."""

from __future__ import annotations

from typing import Any

from app.rules.riding.syllabus import Offer
from app.rules.words import time_words
from app.store.riding.live import all_offers
from app.store.riding.mock_reads import MockLine, MockTest, struck_in
from app.store.riding.rides import RideLine
from app.web import context

Plain = dict[str, Any]


def mock_data(test: MockTest) -> Plain:
    """The whole test with its rides so far and what can be seen in them, as JSON can hold it."""
    reading, person = context.reading(), context.actor()
    codes = {line.variant.manoeuvre.code for line in test.lines}
    offers = {m: _faults(o) for m, o in all_offers(reading, test.course).items() if m in codes}
    offered = {code for faults in offers.values() for code, _severity in faults}
    return {
        "test": str(test.id),
        "session": test.session_id,
        "student": test.student_id,
        "rider": test.student,
        "account": person.account_id,
        "name": person.name,
        "zone": context.settings().time_zone,
        "share": test.course.syllabus.speed_rule.allowance_share,
        "lines": [_line(line, test) for line in test.lines],
        "offers": offers,
        "kinds": {
            kind.code: {"name": kind.name, "sided": kind.sided}
            for kind in test.course.syllabus.fault_kinds
            if kind.code in offered
        },
        "rides": [_ride(ride) for ride in test.rides],
        "struck": [str(ride) for ride in struck_in(reading, test.id)],
    }


def _line(line: MockLine, test: MockTest) -> Plain:
    about = line.variant.manoeuvre
    return {
        "variant": line.variant.id,
        "name": line.variant.name,
        "of": about.code,
        "least": line.variant.minimum_for(test.category),
        "left_out": line.left_out is not None,
        "not_after": about.not_after_failed,
        "cautions": list(about.cautions),
    }


def _faults(offers: tuple[Offer, ...]) -> list[tuple[str, str]]:
    """Faults only: a test knows no remarks."""
    return [(o.kind.code, o.default.severity.value) for o in offers if not o.is_remark]


def _ride(ride: RideLine) -> Plain:
    return {
        "id": str(ride.attempt_id),
        "variant": ride.variant_id,
        "second": ride.second_try,
        "kmh": ride.speed_kmh,
        "time": time_words(ride.ridden_at, context.zone()),
        "faults": [
            {"kind": seen.kind, "severity": seen.severity.value, "side": seen.side}
            for seen in ride.seen
        ],
    }
