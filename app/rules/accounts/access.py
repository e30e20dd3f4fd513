"""The access table: which role reaches which screen, and whose records it finds there.

Closed by default: an endpoint that is not in this table cannot be reached at all.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import IntEnum

from app.rules.accounts.roles import Actor, Role


class Scope(IntEnum):
    """Whose records a role finds behind a screen. A stranger's record does not exist for it."""

    OWN = 1
    ALL = 2


OPEN = frozenset(
    {
        "static",
        "homes.front",
        "accounts.sign_in",
        "accounts.demo_sign_in",
        "accounts.forgotten",
        "accounts.one_time_link",
        "homes.favicon",
        "riding.worker",
        "riding.manifest",
        "diary.feed",
    }
)
"""Screens that need no sign-in."""

SIGNED_IN = frozenset(
    {"accounts.sign_out", "accounts.me", "accounts.change_password", "accounts.end_sign_in"}
)
"""Screens for anyone who is signed in, about themselves alone."""

THROUGH_THE_LOCK = frozenset(
    {
        "accounts.sign_out",
        "accounts.tablet",
        "accounts.take_over",
        "accounts.lock",
        "riding.sync",
        "riding.sync_token",
    }
)
"""Screens that a locked tablet still reaches. Opening one does not count as using the tablet."""

_DESK = {Role.DESK: Scope.ALL, Role.OWNER: Scope.ALL}
_STAFF = {**_DESK, Role.INSTRUCTOR: Scope.ALL}
_OWNER = {Role.OWNER: Scope.ALL}
_YARD = {Role.INSTRUCTOR: Scope.OWN, Role.OWNER: Scope.ALL}
_TABLET = {Role.INSTRUCTOR: Scope.ALL, Role.OWNER: Scope.ALL}
_MINE = {Role.STUDENT: Scope.OWN}
_OWN_LEARNING = {**_DESK, **_MINE}
_OWN_TEACHING = {**_DESK, Role.INSTRUCTOR: Scope.OWN}

ACCESS: Mapping[str, Mapping[Role, Scope]] = {
    # accounts
    "accounts.everyone": _DESK,
    "accounts.invite": _DESK,
    "accounts.new_link": _DESK,
    "accounts.show_link": _DESK,
    "accounts.add": _OWNER,
    "accounts.edit": _OWNER,
    "accounts.close": _OWNER,
    "accounts.reopen": _OWNER,
    "accounts.tablet": _TABLET,
    "accounts.take_over": _TABLET,
    "accounts.lock": _TABLET,
    "accounts.set_code": {Role.INSTRUCTOR: Scope.OWN},
    # homes
    "homes.desk": _DESK,
    "homes.yard": {Role.INSTRUCTOR: Scope.OWN},
    "homes.mine": _MINE,
    "homes.office": _OWNER,
    # people
    "people.students": _DESK,
    "people.new_student": _DESK,
    "people.edit_student": _DESK,
    "people.import_students": _DESK,
    "people.look_at_students_file": _DESK,
    "people.take_students_in": _DESK,
    "people.export_students": _DESK,
    "people.instructors": _DESK,
    "people.new_instructor": _DESK,
    "people.set_teaching": _DESK,
    # riding
    "riding.board": _YARD,
    "riding.record": _YARD,
    "riding.undo": _YARD,
    "riding.ride": _YARD,
    "riding.strike_out": _YARD,
    "riding.sync": _YARD,
    "riding.sync_token": _YARD,
    "riding.keep": _YARD,
    "riding.rides_file": _DESK,
    "riding.look_at_rides_file": _DESK,
    "riding.take_rides_file_in": _DESK,
    "riding.queue": _YARD,
    "riding.new_mock_test": _YARD,
    "riding.start_mock_test": _YARD,
    "riding.mock_test": _YARD,
    "riding.record_in_mock_test": _YARD,
    "riding.undo_in_mock_test": _YARD,
    "riding.end_mock_test": _YARD,
    "riding.ask_stop_mock_test": _YARD,
    "riding.stop_mock_test": _YARD,
    "riding.conditions": _YARD,
    "riding.safety": _YARD,
    "riding.incident": _YARD,
    "riding.defect": _YARD,
    "riding.close_incident": _OWNER,
    # yards
    "yards.yards": _DESK,
    "yards.new_yard": _DESK,
    "yards.edit_yard": _DESK,
    "yards.bikes": _DESK,
    "yards.new_bike": _DESK,
    "yards.edit_bike": _DESK,
    "yards.take_off_road": _DESK,
    "yards.put_back_on_road": _DESK,
    # papers
    "papers.record": _DESK,
    # diary
    "diary.week": _DESK,
    "diary.day": _DESK,
    "diary.card": _DESK,
    "diary.new_session": _DESK,
    "diary.session": _DESK,
    "diary.edit_session": _DESK,
    "diary.ask_cancel_session": _DESK,
    "diary.cancel_session": _DESK,
    "diary.book": _DESK,
    "diary.change_bike": _DESK,
    "diary.ask_cancel_booking": _DESK,
    "diary.cancel_booking": _DESK,
    "diary.mark_here": _DESK,
    "diary.mark_not_here": _DESK,
    "diary.hold": _DESK,
    "diary.confirm": _DESK,
    "diary.move": _DESK,
    "diary.waiting_list": _DESK,
    "diary.wait": _DESK,
    "diary.withdraw": _DESK,
    "diary.course": _DESK,
    "diary.book_course": _DESK,
    "diary.affected": _DESK,
    "diary.plan_anew": _DESK,
    "diary.outbox": _DESK,
    "diary.message": _DESK,
    "diary.message_html": _DESK,
    "diary.send_message_again": _DESK,
    "diary.leave_message": _DESK,
    "diary.booking_message": _DESK,
    "diary.student_messages": _DESK,
    "diary.my_messages": _MINE,
    # diary: calendars outside the school, and the history
    "diary.student_calendar": _OWN_LEARNING,
    "diary.make_student_calendar": _OWN_LEARNING,
    "diary.end_student_calendar": _OWN_LEARNING,
    "diary.instructor_calendar": _OWN_TEACHING,
    "diary.make_instructor_calendar": _OWN_TEACHING,
    "diary.end_instructor_calendar": _OWN_TEACHING,
    "diary.school_calendar": _DESK,
    "diary.make_school_calendar": _DESK,
    "diary.end_school_calendar": _DESK,
    "diary.booking_history": _DESK,
    "diary.session_history": _DESK,
    "diary.student_history": _DESK,
    # diary: hours, closures and days off
    "diary.opening_hours": _DESK,
    "diary.closures": _DESK,
    "diary.new_closure": _DESK,
    "diary.ask_take_closure_away": _DESK,
    "diary.take_closure_away": _DESK,
    "diary.instructor": _DESK,
    "diary.edit_instructor": _DESK,
    "diary.new_days_off": _DESK,
    "diary.ask_take_days_off_away": _DESK,
    "diary.take_days_off_away": _DESK,
    # progress
    "progress.my_rides": _MINE,
    "progress.student": _STAFF,
    "progress.rides": _STAFF,
    "progress.my_debrief": _MINE,
    "progress.debrief": _STAFF,
    "progress.flags": _STAFF,
    "progress.ready": _STAFF,
    "progress.how": _STAFF,
    "progress.student_plan": _STAFF,
    "progress.session_plan": _STAFF,
    "progress.find_place": _DESK,
    "progress.open_place": _DESK,
    # school
    "school.duplicates": _DESK,
    "school.find_twin": _DESK,
    "school.compare": _DESK,
    "school.merge": _DESK,
    "school.settings": _OWNER,
    "school.change_settings": _OWNER,
    "school.audit": _OWNER,
}
"""For each endpoint the roles that reach it, each with whose records it finds."""


def scope_for(actor: Actor, endpoint: str) -> Scope | None:
    """The widest scope that the person's roles give at an endpoint; None when it is closed."""
    allowed = ACCESS.get(endpoint, {})
    return max((allowed[role] for role in actor.roles if role in allowed), default=None)


def is_known(endpoint: str) -> bool:
    """Whether the endpoint stands in one of the three tables above."""
    return endpoint in OPEN or endpoint in SIGNED_IN or endpoint in ACCESS
