"""The look by itself: the specimen pages in Chromium.

Sources: axe-core's rules for WCAG 2.2 A and AA; WCAG 2.2 success criteria 1.4.6 (contrast 7:1, in
the yard) and 1.4.10 (no sideways scrolling at 320 CSS px). Targets of 64 px with 12 px between
them for gloves: common practice, no source.
"""

from __future__ import annotations

import re
from itertools import combinations
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, ViewportSize

from tests.browser import specimen
from tests.browser.axe import colour_violations, violations

pytestmark = pytest.mark.browser

NAMES = ("desk", "failure", "mine", "sign_in", "yard")


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The specimen, written out."""
    folder = tmp_path_factory.mktemp("specimen")
    specimen.write(folder)
    return folder


@pytest.fixture(scope="module")
def chromium(browser: Browser) -> Browser:
    """The browser of the whole run: there can be one Playwright in a process."""
    return browser


def _open(browser: Browser, path: Path, width: int) -> Page:
    # Without motion: a colour on its way to another scheme is neither of the two.
    size = ViewportSize(width=width, height=800)
    page = browser.new_page(viewport=size, reduced_motion="reduce")
    page.goto(path.as_uri())
    return page


@pytest.mark.parametrize("name", NAMES)
def test_axe_finds_nothing(chromium: Browser, pages: Path, name: str) -> None:
    page = _open(chromium, pages / f"{name}.html", 1280)
    yard = name == "yard"
    light = violations(page, yard=yard)
    page.emulate_media(color_scheme="dark")
    dark = colour_violations(page, yard=yard)
    page.close()
    assert (light, dark) == ([], [])


@pytest.mark.parametrize("name", NAMES)
def test_nothing_scrolls_sideways(chromium: Browser, pages: Path, name: str) -> None:
    page = _open(chromium, pages / f"{name}.html", 320)
    over = {}
    for width in (320, 390, 800, 1440):
        page.set_viewport_size({"width": width, "height": 800})
        over[width] = page.evaluate("document.documentElement.scrollWidth - innerWidth")
    page.close()
    assert {width: by for width, by in over.items() if by > 0} == {}


@pytest.mark.parametrize("size", [(1280, 800), (800, 1280), (640, 400)])
def test_yard_targets_suit_gloves(chromium: Browser, pages: Path, size: tuple[int, int]) -> None:
    page = _open(chromium, pages / "yard.html", size[0])
    page.set_viewport_size({"width": size[0], "height": size[1]})
    boxes = [
        target.bounding_box() for target in page.locator("main").locator(".press, .chip").all()
    ]
    page.close()
    shown = [box for box in boxes if box]
    assert len(shown) == 16
    assert min(min(box["width"], box["height"]) for box in shown) >= 64
    assert min(box["x"] for box in shown) >= 8
    for one, other in combinations(shown, 2):
        apart_x = max(one["x"], other["x"]) - min(
            one["x"] + one["width"], other["x"] + other["width"]
        )
        apart_y = max(one["y"], other["y"]) - min(
            one["y"] + one["height"], other["y"] + other["height"]
        )
        assert max(apart_x, apart_y) >= 11.9


def test_stepper_works_with_its_buttons(chromium: Browser, pages: Path) -> None:
    page = _open(chromium, pages / "yard.html", 1280)
    page.get_by_role("button", name="1 more").click()
    page.get_by_role("button", name="1 more").click()
    page.get_by_role("button", name="1 less").click()
    assert page.get_by_label("Speed at the gate").input_value() == "51"
    page.close()


def test_each_cone_says_its_words(chromium: Browser, pages: Path) -> None:
    page = _open(chromium, pages / "yard.html", 1280)
    strip = page.get_by_role("list", name="Ada Finch, U-turn, last 8 rides")
    words = strip.get_by_role("listitem").all_inner_texts()
    page.close()
    assert words == [cone.words for cone in specimen.cones("fslfsols")]


def test_what_a_browser_cannot_read_stays_in_sight(chromium: Browser, pages: Path) -> None:
    page = _open(chromium, pages / "desk.html", 1280)
    assert page.get_by_label("Date of birth").input_value() == "2007-13-40"
    assert page.get_by_label("Speed").input_value() == "fast"
    page.close()


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_styled_or_scripted_inline(pages: Path, name: str) -> None:
    html = (pages / f"{name}.html").read_text()
    assert not re.search(r"<style|\sstyle=|\son[a-z]+=|<script(?![^>]*\ssrc=)|javascript:", html)


def test_first_load_is_small() -> None:
    files = [
        f for kind in ("css", "js", "fonts") for f in (specimen.ROOT / "static" / kind).iterdir()
    ]
    shared = [f for f in files if f.is_file() and f.suffix != ".txt"]  # folders belong to a room
    assert sum(f.stat().st_size for f in shared) < 80_000


def test_cones_follow_forced_colours(chromium: Browser, pages: Path) -> None:
    page = chromium.new_page(forced_colors="active")
    page.goto((pages / "yard.html").as_uri())
    colours = page.evaluate(
        "['standing', 'leaning', 'fallen', 'outline'].map(kind =>"
        " getComputedStyle(document.querySelector(`#cone-${kind}`)).color)"
    )
    text = page.evaluate("getComputedStyle(document.body).color")
    page.close()
    assert set(colours) == {text}
