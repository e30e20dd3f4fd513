"""Letting someone in by a link that is shown, printed or mailed."""

from __future__ import annotations

import segno
from flask import abort
from flask.typing import ResponseReturnValue
from markupsafe import Markup

from app.rules.accounts.authority import may_let_in
from app.store.accounts import invitations, links, lists, own_records
from app.web import context
from app.web.accounts.addresses import address_of, by_email
from app.web.accounts.blueprint import bp
from app.web.mail import send_soon
from app.web.pages import done, page


@bp.post("/students/<int:student_id>/invite")
def invite(student_id: int) -> ResponseReturnValue:
    """Invite a student to their own record."""
    account_id = invitations.invite_student(
        context.database(), context.actor(), student_id, context.now(), by_email()
    )
    return _made(account_id)


@bp.post("/accounts/<int:account_id>/link")
def new_link(account_id: int) -> ResponseReturnValue:
    """Make a new link for someone who cannot get in."""
    invitations.new_link(context.database(), context.actor(), account_id, context.now(), by_email())
    return _made(account_id)


def _made(account_id: int) -> ResponseReturnValue:
    send_soon()
    return done("The link is made.", "accounts.show_link", account_id=account_id)


@bp.get("/accounts/<int:account_id>/link")
def show_link(account_id: int) -> ResponseReturnValue:
    """Show the open link of a person, as a code to scan and as text, fit to print."""
    account = lists.one(context.reading(), account_id)
    if not may_let_in(context.actor(), account.roles):
        abort(403)
    link = links.to_show(context.reading(), account_id, context.now())
    address = address_of(link) if link else ""
    return page(
        "accounts/show_link.html",
        account=account,
        student_id=own_records.student_of(context.reading(), account_id),
        link=link,
        address=address,
        code=_code(address) if link else "",
        mails=context.config().smtp is not None,
    )


def _code(address: str) -> Markup:
    """The address as a QR code (ISO/IEC 18004), drawn without any style of its own."""
    drawn = segno.make(address, error="m", micro=False).svg_inline(scale=5, border=4, light="#fff")
    return Markup(drawn)  # noqa: S704 - segno draws shapes only, none of it is the address's text
