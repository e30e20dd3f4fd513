"""Putting the web application together."""

from __future__ import annotations

from datetime import timedelta

from flask import Flask
from flask_wtf import CSRFProtect
from werkzeug.middleware.proxy_fix import ProxyFix

from app.config import ROOT, Config
from app.store.database import Database
from app.web import context, failures, gate, packing, pages, rooms, startup
from app.web.accounts import limits, visitors


def build(config: Config) -> Flask:
    """Build the app for a configuration.

    The database is opened when the first request needs it; in production at
    once, and BadConfig is raised when such a server must not start.
    """
    school = Database(config.database_url)
    startup.check(config, school)
    app = Flask(
        "app",
        root_path=str(ROOT),
        template_folder=ROOT / "templates",
        static_folder=config.static,
    )
    app.config.from_mapping(_flask_settings(config))
    context.install(app, config, school)
    CSRFProtect(app)
    visitors.install(app)
    limits.install(app)
    gate.install(app)
    pages.install(app)
    packing.install(app)
    failures.install(app)
    rooms.install(app)
    if config.trusted_proxies:
        hops = config.trusted_proxies
        app.wsgi_app = ProxyFix(app.wsgi_app, x_for=hops, x_proto=hops, x_host=hops)  # type: ignore[method-assign]
    return app


def _flask_settings(config: Config) -> dict[str, object]:
    return {
        "SECRET_KEY": config.secret_key,
        "SESSION_COOKIE_NAME": "yardmark",
        "SESSION_COOKIE_HTTPONLY": True,
        "SESSION_COOKIE_SAMESITE": "Lax",
        "SESSION_COOKIE_SECURE": config.is_production,
        "PERMANENT_SESSION_LIFETIME": timedelta(days=14),
        # A page left open over lunch must still save; the token dies with the sign-in.
        "WTF_CSRF_TIME_LIMIT": None,
        "MAX_CONTENT_LENGTH": 2 * 1024 * 1024,
        "MAX_FORM_PARTS": 500,
        "SEND_FILE_MAX_AGE_DEFAULT": timedelta(days=365),
        "RATELIMIT_ENABLED": config.rate_limits,
    }
