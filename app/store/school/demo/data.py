"""The people and things of the demo school, as its files name them."""

from __future__ import annotations

import csv
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from app.rules.categories import Category

FOLDER = Path(__file__).resolve().parents[4] / "seed_data" / "demo"


@dataclass(frozen=True, slots=True)
class DemoStudent:
    """One invented student: age in years at the day of loading, and a habit or none."""

    name: str
    category: Category
    age: int
    habit: str

    @property
    def mailbox(self) -> str:
        """The part of the address before the at sign."""
        return self.name.split()[0].lower()


@dataclass(frozen=True, slots=True)
class DemoSchool:
    """Everything that the files say; what has several facts as the plain tables of the file."""

    name: str
    test_centre: str
    password: str
    code: str
    domain: str
    settings: dict[str, Any]
    opening: dict[str, Any]
    closures: tuple[dict[str, Any], ...]
    staff: tuple[dict[str, Any], ...]
    yards: tuple[dict[str, Any], ...]
    bikes: tuple[dict[str, Any], ...]
    students: tuple[DemoStudent, ...]

    def address(self, mailbox: str) -> str:
        """A full email address at the invented school."""
        return f"{mailbox}@{self.domain}"


def read() -> DemoSchool:
    """Read the files of the demo school."""
    facts = tomllib.loads((FOLDER / "school.toml").read_text(encoding="utf-8"))
    return DemoSchool(
        name=facts["name"],
        test_centre=facts["test_centre"],
        password=facts["password"],
        code=facts["code"],
        domain=facts["domain"],
        settings=_settings(facts),
        opening=facts["opening"],
        closures=tuple(facts["closures"]),
        staff=tuple(facts["staff"]),
        yards=tuple(facts["yards"]),
        bikes=tuple(facts["bikes"]),
        students=_students(),
    )


def _settings(facts: dict[str, Any]) -> dict[str, Any]:
    return {
        "school_name": facts["name"],
        "turnaround_minutes": facts["turnaround_minutes"],
        "travel_minutes": facts["travel_minutes"],
        "school_phone": facts["phone"],
        "school_email": f"{facts['email']}@{facts['domain']}",
    }


def _students() -> tuple[DemoStudent, ...]:
    with (FOLDER / "students.csv").open(encoding="utf-8", newline="") as file:
        return tuple(
            DemoStudent(row["name"], Category(row["category"]), int(row["age"]), row["habit"])
            for row in csv.DictReader(file)
        )
