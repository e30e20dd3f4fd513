"""What the yard needs without a network: the service worker, what it keeps, and the manifest."""

from __future__ import annotations

import json
from functools import lru_cache
from hashlib import sha256
from pathlib import Path

from flask import Response, jsonify, request, url_for
from flask.typing import ResponseReturnValue

from app.store.riding.board import sessions_of
from app.store.riding.mock_reads import running_tests
from app.web import context
from app.web.answers import answer
from app.web.pages import asset, page, static_folder
from app.web.riding.routes import bp

DAYS_KEPT = 2
"""Today and tomorrow."""

_ASKED_WITH_VERSION = (
    *(f"css/{name}.css" for name in ("tokens", "base", "layout", "components", "print")),
    *(f"css/{name}.css" for name in ("yard", "mock")),
    *(f"js/{name}.js" for name in ("stepper", "lock", "speed")),
    *(f"js/yard/{name}.js" for name in ("board", "mock", "status", "list")),
    "icons/yardmark.svg",
)
_ASKED_PLAINLY = ("fonts/league-gothic.woff2", "icons/yardmark-192.png", "icons/yardmark-512.png")
_MODULES = ("js/yard", "vendor")


@bp.get("/worker.js")
def worker() -> ResponseReturnValue:
    """The service worker, from the root, with the list of what this release's shell is."""
    shell = json.dumps({"version": _version(static_folder()), "files": _shell()})
    source = (static_folder() / "js/worker.js").read_text(encoding="utf-8")
    response = Response(f"const SHELL = {shell};\n{source}", mimetype="text/javascript")
    response.headers["Cache-Control"] = "no-cache"
    return response


def _shell() -> list[str]:
    names = (*_ASKED_PLAINLY, *_modules(static_folder()))
    plain = [url_for("static", filename=name) for name in names]
    return [*map(asset, _ASKED_WITH_VERSION), *plain]


def _modules(static: Path) -> list[str]:
    """The modules that other modules import, by an address without a version."""
    found = [path for folder in _MODULES for path in sorted((static / folder).rglob("*.js"))]
    return [path.relative_to(static).as_posix() for path in found]


@lru_cache(maxsize=4)
def _version(static: Path) -> str:
    """A name for all that the shell is made of, which changes when any of it does."""
    names = (*_ASKED_WITH_VERSION, *_ASKED_PLAINLY, *_modules(static), "js/worker.js")
    every = sha256()
    for name in names:
        every.update((static / name).read_bytes())
    return every.hexdigest()[:12]


@bp.get("/yard.webmanifest")
def manifest() -> ResponseReturnValue:
    """What a tablet needs to know to install the yard."""
    icons = [
        {"src": asset(f"icons/yardmark-{size}.png"), "sizes": f"{size}x{size}", "type": "image/png"}
        for size in (192, 512)
    ]
    response = jsonify(
        name="Yardmark",
        short_name="Yardmark",
        description="Rides and faults, recorded in the yard.",
        id="/yard",
        start_url="/yard",
        scope="/",
        display="standalone",
        background_color="#f2f3ef",
        theme_color="#24272a",
        icons=icons,
    )
    response.mimetype = "application/manifest+json"
    response.headers["Cache-Control"] = "no-cache"
    return response


@bp.get("/yard/keep")
def keep() -> ResponseReturnValue:
    """The pages a tablet keeps: its queue, my sessions, and my boards and tests of two days."""
    mine = sessions_of(
        context.reading(),
        context.actor().instructor_id or 0,
        context.today(),
        DAYS_KEPT,
        context.zone(),
    )
    boards = [url_for("riding.board", session_id=session.id) for session in mine]
    running = running_tests(context.reading(), [session.id for session in mine]).values()
    tests = [url_for("riding.mock_test", mock_test_id=test) for test in running]
    return answer({"pages": ["/yard", url_for("riding.queue"), *boards, *tests]})


@bp.get("/yard/queue")
def queue() -> ResponseReturnValue:
    """What waits on this tablet, drawn by a script from the tablet's own queue."""
    return page("riding/queue.html")


@bp.after_app_request
def _modules_are_asked_for_again(response: Response) -> Response:
    """A module is imported by an address that does not change with it, so it is not kept long."""
    if request.endpoint == "static" and not request.args.get("v"):
        response.headers["Cache-Control"] = "no-cache"
    return response
