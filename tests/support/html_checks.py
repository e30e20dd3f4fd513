"""What every page owes its reader, one small check each. A check returns what is wrong."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from xml.etree.ElementTree import Element

Check = Callable[[Element], Iterator[str]]


def one_heading(page: Element) -> Iterator[str]:
    """Exactly one first-level heading."""
    headings = list(page.iter("h1"))
    if len(headings) != 1:
        yield f"{len(headings)} h1 elements"


def a_title(page: Element) -> Iterator[str]:
    """A title that says more than the product's name."""
    text = "".join(next(page.iter("title")).itertext()).strip()
    if not text or text == "Yardmark":
        yield "no title of its own"


def unique_ids(page: Element) -> Iterator[str]:
    """No id twice."""
    ids = Counter(node.get("id") for node in page.iter() if node.get("id"))
    yield from (f"id {name!r} stands {n} times" for name, n in ids.items() if n > 1)


def labelled_fields(page: Element) -> Iterator[str]:
    """Every control that a person fills in has a label."""
    named = {label.get("for") for label in page.iter("label")}
    wrapped = {id(node) for label in page.iter("label") for node in label.iter()}
    for node in _controls(page):
        said = node.get("aria-label") or node.get("aria-labelledby") or node.get("id") in named
        if not said and id(node) not in wrapped:
            yield f"{node.tag} {node.get('name')!r} has no label"


def bound_descriptions(page: Element) -> Iterator[str]:
    """What a control says it is described by is on the page."""
    ids = {node.get("id") for node in page.iter()}
    for node in page.iter():
        for attribute in ("aria-describedby", "aria-labelledby", "aria-controls"):
            missing = set((node.get(attribute) or "").split()) - ids
            yield from (f"{attribute} points at missing id {name!r}" for name in missing)


def guarded_forms(page: Element) -> Iterator[str]:
    """Every form that changes something carries a token, and says where it goes."""
    for form in page.iter("form"):
        if (form.get("method") or "get").lower() != "post":
            continue
        if form.get("action") is None:
            yield "a POST form without an action"
        if not any(node.get("name") == "csrf_token" for node in form.iter("input")):
            yield f"form to {form.get('action')!r} without a token"


def nothing_inline(page: Element) -> Iterator[str]:
    """No style and no script inside the page; the browser would refuse them."""
    for node in page.iter():
        if node.get("style") is not None:
            yield f"{node.tag} with a style attribute"
        yield from (f"{node.tag} with {key}" for key in sorted(node.attrib) if key.startswith("on"))
    yield from ("a style element" for _ in page.iter("style"))
    for script in page.iter("script"):
        if not script.get("src") and script.get("type") != "application/json":
            yield "an inline script"


def landmarks(page: Element) -> Iterator[str]:
    """One main part, and a language."""
    if len(list(page.iter("main"))) != 1:
        yield "not exactly one main element"
    if page.get("lang") != "en-GB":
        yield "the page's language is not en-GB"


def _controls(page: Element) -> Iterator[Element]:
    silent = {"hidden", "submit", "button", "reset", "image"}
    for tag in ("input", "select", "textarea"):
        yield from (node for node in page.iter(tag) if node.get("type") not in silent)


CHECKS: tuple[Check, ...] = (
    one_heading,
    a_title,
    unique_ids,
    labelled_fields,
    bound_descriptions,
    guarded_forms,
    nothing_inline,
    landmarks,
)


def faults(page: Element) -> list[str]:
    """All that is wrong with a page."""
    return [fault for check in CHECKS for fault in check(page)]
