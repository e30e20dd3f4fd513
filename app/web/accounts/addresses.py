"""Addresses: where to go after signing in, and the signed address of a one-time link."""

from __future__ import annotations

from urllib.parse import urlsplit

from flask import current_app, request, url_for
from itsdangerous import BadSignature, URLSafeSerializer
from werkzeug.exceptions import HTTPException
from werkzeug.routing import RequestRedirect

from app.rules.accounts.links import LinkPurpose
from app.store.accounts.links import OpenLink
from app.store.accounts.passwords import AddressOf
from app.web import context


def after_sign_in() -> str:
    """Where the person wanted to go: a page of this app that can be opened, or the front."""
    wanted = request.args.get("next", "")
    return wanted if _is_ours(wanted) else url_for("homes.front")


def _is_ours(wanted: str) -> bool:
    """Whether it is a path of this app. Browsers read a backslash and two slashes as a host."""
    if not wanted.startswith("/") or wanted.startswith("//") or len(wanted) > 2000:
        return False
    if any(c == "\\" or ord(c) < 33 for c in wanted):
        return False
    adapter = current_app.create_url_adapter(request)
    try:
        return adapter is not None and bool(adapter.match(urlsplit(wanted).path, method="GET"))
    except (HTTPException, RequestRedirect, ValueError):
        return False


def _signer() -> URLSafeSerializer:
    return URLSafeSerializer(context.config().secret_key, salt="one-time link")


def link_address(purpose: LinkPurpose, nonce: str) -> str:
    """The full address of a one-time link, at the school's own host where that is set."""
    path = url_for("accounts.one_time_link", token=_signer().dumps([purpose.value, nonce]))
    return context.own_address().rstrip("/") + path


def address_of(link: OpenLink) -> str:
    """The full address of a link that is open."""
    return link_address(link.purpose, link.nonce)


def nonce_in(token: str) -> str | None:
    """The nonce that an address holds; None when we did not sign it."""
    try:
        purpose, nonce = _signer().loads(token)
        LinkPurpose(purpose)
    except (BadSignature, ValueError, TypeError):
        return None
    return str(nonce)


def by_email() -> AddressOf | None:
    """How links are addressed in email; None where the school sends none."""
    return link_address if context.config().smtp else None
