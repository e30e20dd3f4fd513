"""Every piece of the look on a few pages, with invented data, written out as files for the eye.

``python -m tests.browser.specimen FOLDER`` writes the pages and links the static files beside them.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from jinja2 import ChoiceLoader, DictLoader, Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup
from werkzeug.datastructures import MultiDict
from wtforms import (
    BooleanField,
    DateField,
    EmailField,
    Form,
    HiddenField,
    IntegerField,
    RadioField,
    SelectField,
    StringField,
    TextAreaField,
    TimeField,
    validators,
)

ROOT = Path(__file__).resolve().parents[2]
PAGES = Path(__file__).with_name("specimen_pages")


@dataclass(frozen=True, slots=True)
class Link:
    """A link as the layouts and macros take it."""

    label: str
    url: str = "#main"
    current: bool = False
    note: str = ""
    cones: tuple[Cone, ...] = ()


@dataclass(frozen=True, slots=True)
class Cone:
    """A ride as the strip takes it."""

    cone: str
    words: str


@dataclass(frozen=True, slots=True)
class Visitor:
    """Who is signed in."""

    name: str
    roles: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Asked:
    """The address that was asked for."""

    full_path: str


class Sample(Form):  # type: ignore[misc]
    """One field of each kind."""

    once = HiddenField(default="0")
    name = StringField("Full name", [validators.InputRequired("Write the student's name.")])
    email = EmailField("Email", [validators.Email("Write an address such as ada@example.org.")])
    born = DateField("Date of birth")
    starts = TimeField("Starts", [validators.Optional()])
    speed = IntegerField("Speed", [validators.Optional()], description="In km/h, on the gate.")
    category = SelectField("Licence category", choices=["AM", "A1", "A2", "A"])
    side = RadioField("Avoidance", choices=["left", "right"], validate_choice=True)
    seen = BooleanField("Provisional licence seen")
    remark = TextAreaField("Remark", [validators.Optional()])


_SHAPES = {"s": "standing", "l": "leaning", "f": "fallen", "o": "outline"}
_WORDS = {
    "s": "clean",
    "l": "leaning: rear observation missed, riding",
    "f": "fallen: cone touched, serious",
    "o": "outline: speed not measured",
}


def cones(letters: str) -> tuple[Cone, ...]:
    """A strip from letters: s, l, f, o, oldest first."""
    return tuple(Cone(_SHAPES[c], f"Thu 3 Dec 2026, {_WORDS[c]}") for c in letters)


def wrong_form() -> Sample:
    """The form as it comes back with mistakes in it."""
    typed = {"name": "", "email": "ada at example", "born": "2007-13-40", "speed": "fast"}
    form = Sample(MultiDict({**typed, "category": "A2"}))
    form.validate()
    return form


def _links(*labels: str) -> tuple[Link, ...]:
    return tuple(Link(label, current=i == 0) for i, label in enumerate(labels))


_RIDERS = (
    Link("Ada Finch", current=True, note="Bike 4 · U-turn", cones=cones("fslsss")),
    Link("Bo Tarrant", note="Bike 7 · Slalom", cones=cones("ssss")),
    Link("Cleo Marsh", note="Bike 2 · Emergency stop", cones=cones("oflssfls")),
    Link("Dev Okafor", note="Bike 9 · Slow ride"),
)


def environment() -> Environment:
    """Jinja as strict as the app's, with the app's globals answered by files."""
    files = {f"pages/{path.name}": path.read_text() for path in PAGES.glob("*.html")}
    found = Environment(
        loader=ChoiceLoader([DictLoader(files), FileSystemLoader(ROOT / "templates")]),
        undefined=StrictUndefined,
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    found.globals.update(
        asset=lambda path: f"static/{path}",
        url_for=lambda endpoint, **_values: f"#{endpoint}",
        csrf_token=lambda: "token",
        cones=cones,
        links=_links,
        Markup=Markup,
    )
    return found


def values() -> Mapping[str, Any]:
    """What the app would give to every page, and the sample data."""
    return {
        "nav": _links("Today", "Week", "Students", "Bikes"),
        "person": Visitor("Wren Halloway"),
        "request": Asked("/yard"),
        "lock_minutes": 0,
        "demo": True,
        "school_name": "Saltmarsh Rider School",
        "get_flashed_messages": lambda **_kinds: [("message", "Ada Finch has a place.")],
        "empty_form": Sample(data={"born": date(2007, 5, 4)}),
        "wrong": wrong_form(),
        "riders": _RIDERS,
    }


def write(folder: Path) -> list[Path]:
    """Render every specimen page into a folder; returns their paths."""
    folder.mkdir(parents=True, exist_ok=True)
    static = folder / "static"
    if not static.exists():
        static.symlink_to(ROOT / "static")
    jinja, written = environment(), []
    for path in sorted(PAGES.glob("*.html")):
        target = folder / path.name
        target.write_text(jinja.get_template(f"pages/{path.name}").render(values()))
        written.append(target)
    failure = folder / "failure.html"
    failure.write_text(
        jinja.get_template("errors/failure.html").render({**values(), "code": 404, "detail": ""})
    )
    return [*written, failure]


if __name__ == "__main__":
    print(*write(Path(sys.argv[1])), sep="\n")
