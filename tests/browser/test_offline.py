"""A session of four riders with the network off, the tablet dropped and picked up again."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, BrowserType, expect

from app.config import ROOT
from app.rules.accounts.roles import Role
from app.store.accounts.tables import AccountRow
from tests.browser.conftest import WAIT_MS
from tests.browser.devices import TABLET
from tests.browser.pages.sign_in import SignInPage
from tests.browser.pages.tablet import YardTablet
from tests.browser.yard_session import cancel, four_riders, rides_of
from tests.support import demo
from tests.support.clock import Clock
from tests.support.demo import DemoFactory
from tests.support.server import Server, serving

pytestmark = pytest.mark.browser

PickUp = Callable[..., YardTablet]


@pytest.fixture
def pick_up(
    browser_type: BrowserType,
    browser_type_launch_args: dict[str, Any],
    school: Server,
    tmp_path: Path,
) -> Iterator[PickUp]:
    """Start the browser of one tablet, which keeps what it had when it was closed."""
    opened: list[BrowserContext] = []

    def start(address: str = school.address) -> YardTablet:
        context = browser_type.launch_persistent_context(
            tmp_path / "tablet",
            base_url=address,
            **browser_type_launch_args,
            **TABLET.options(),
        )
        opened.append(context)
        context.set_default_timeout(WAIT_MS)
        return YardTablet(context, context.new_page())

    yield start
    for context in opened:
        context.close()


@pytest.fixture
def board(school: Server, clock: Clock) -> str:
    """The path of a board with four riders."""
    return f"/yard/sessions/{four_riders(school.database, clock())}"


def sit_down(tablet: YardTablet, path: str) -> None:
    """Sign the instructor in, open the board, and wait until it is kept."""
    SignInPage(tablet.page).open("/yard").enter(demo.sign_ins()[Role.INSTRUCTOR], demo.PASSWORD)
    tablet.page.goto("/yard")
    tablet.keep(path)
    tablet.page.goto(path)
    tablet.is_live()


def ride_round(tablet: YardTablet, rounds: int) -> None:
    """Each of the four rides once in a round; every third ride has a fault."""
    for number in range(rounds * 4):
        tablet.rider(number % 4)
        if number % 3 == 2:
            tablet.fault()
        else:
            tablet.clean()


def test_forty_rides_without_a_network_arrive_once_each_and_in_order(
    pick_up: PickUp, school: Server, board: str
) -> None:
    tablet = pick_up()
    sit_down(tablet, board)
    tablet.lose_network()
    ride_round(tablet, 4)
    assert tablet.status() == "16 rides waiting to send"

    tablet.page.reload()
    tablet.is_live()
    expect(tablet.page.locator("[data-queue-status]")).to_have_text("16 rides waiting to send")
    ride_round(tablet, 3)
    tablet.page.close()
    tablet.page = tablet.context.new_page()
    tablet.page.goto(board)
    tablet.is_live()
    ride_round(tablet, 2)

    tablet.context.close()
    tablet = pick_up()
    tablet.lose_network()
    tablet.page.goto(board)
    tablet.is_live()
    ride_round(tablet, 1)
    assert tablet.status() == "40 rides waiting to send"
    assert rides_of(school.database, _session(board)) == []
    queued = [item["id"] for item in tablet.items("waiting")]

    tablet.find_network()
    expect(tablet.page.locator("[data-queue-status]")).to_have_text("All sent")
    rides = rides_of(school.database, _session(board))
    assert [str(ride.id) for ride in rides] == queued
    assert len(set(queued)) == 40
    assert [ride.tablet_seq for ride in rides] == list(range(1, 41))
    assert [ride.outcome == "clean" for ride in rides] == [n % 3 != 2 for n in _in_rounds()]


def _in_rounds() -> list[int]:
    return [number for rounds in (4, 3, 2, 1) for number in range(rounds * 4)]


def _session(path: str) -> int:
    return int(path.rsplit("/", 1)[-1])


def test_the_cones_grow_and_a_ride_is_taken_back_without_a_network(
    pick_up: PickUp, school: Server, board: str
) -> None:
    tablet = pick_up()
    sit_down(tablet, board)
    tablet.lose_network()
    tablet.rider(1)
    tablet.clean()
    tab = tablet.page.locator(".riders > ul > li").nth(1)
    expect(tab.locator(".cone-strip use")).to_have_attribute("href", "#cone-standing")
    tablet.page.get_by_role("button", name="Take back").tap()
    expect(tab.locator(".cone-strip use")).to_have_attribute("href", "#cone-outline")
    expect(tablet.page.get_by_text("Nothing to take back")).to_be_visible()
    tablet.find_network()
    expect(tablet.page.locator("[data-queue-status]")).to_have_text("All sent")
    (ride,) = rides_of(school.database, _session(board))
    assert ride.struck_reason == "Taken back at once"


def test_each_rider_keeps_their_place(pick_up: PickUp, board: str) -> None:
    tablet = pick_up()
    sit_down(tablet, board)
    tablet.lose_network()
    name = tablet.page.locator(".is-keys a").nth(3).inner_text()
    tablet.rider(0)
    tablet.manoeuvre(name)
    tablet.rider(2)
    expect(tablet.page.locator(".is-keys a").nth(3)).not_to_have_attribute("aria-current", "true")
    tablet.page.reload()
    tablet.rider(0)
    expect(tablet.page.locator(".is-keys [aria-current]")).to_have_text(name)


def test_rides_outlive_the_sign_in(pick_up: PickUp, school: Server, board: str) -> None:
    tablet = pick_up()
    sit_down(tablet, board)
    tablet.lose_network()
    tablet.rider(0)
    tablet.clean()
    tablet.context.clear_cookies()
    tablet.find_network()
    status = tablet.page.locator("[data-queue-status]")
    expect(status).to_have_text("1 ride waiting to send. Sign in to send.")
    status.get_by_role("link").tap()
    SignInPage(tablet.page).enter(demo.sign_ins()[Role.INSTRUCTOR], demo.PASSWORD)
    expect(tablet.page.locator("[data-queue-status]")).to_have_text("All sent")
    assert len(rides_of(school.database, _session(board))) == 1


def test_signing_out_with_rides_that_wait_asks_first(pick_up: PickUp, board: str) -> None:
    tablet = pick_up()
    sit_down(tablet, board)
    tablet.lose_network()
    tablet.rider(0)
    tablet.clean()
    tablet.page.get_by_role("button", name="Sign out").tap()
    dialog = tablet.page.get_by_role("dialog")
    expect(dialog).to_contain_text("1 ride waiting to send")
    with tablet.page.expect_download() as saved:
        dialog.get_by_role("button", name="Save them to a file").tap()
    assert '"kind": "ride"' in saved.value.path().read_text()
    tablet.find_network()
    dialog.get_by_role("button", name="Sign out and keep them here").tap()
    tablet.page.wait_for_url("**/sign-in")
    assert len(tablet.items("waiting")) + len(tablet.items("sent")) == 1
    kept = tablet.page.evaluate("caches.has('yardmark-pages')")
    assert kept is False


def test_a_hand_over_sends_what_waits_first_and_asks_where_it_cannot(
    pick_up: PickUp, school: Server, board: str
) -> None:
    tablet = pick_up()
    sit_down(tablet, board)
    tablet.page.route("**/yard/sync", lambda route: route.abort("connectionreset"))
    tablet.clean()
    tablet.page.goto("/tablet")
    tablet.page.get_by_role("radio", name=re.compile("^Saffi")).check()
    tablet.page.get_by_label("Code").fill("2580")
    tablet.page.get_by_role("button", name="Open", exact=True).tap()
    dialog = tablet.page.get_by_role("dialog")
    expect(dialog).to_contain_text("1 ride waiting to send")
    tablet.page.unroute("**/yard/sync")
    dialog.get_by_role("button", name="Send now").tap()
    taken = tablet.page.get_by_text(re.compile(r"^Saffi .+ is at this tablet\.$"))
    expect(taken).to_be_visible()
    (ride,) = rides_of(school.database, _session(board))
    with school.database.reading() as session:
        email = demo.sign_ins()[Role.INSTRUCTOR]
        assert session.get_one(AccountRow, ride.recorded_by).email == email


def test_a_refused_ride_is_kept_with_its_reason(
    pick_up: PickUp, school: Server, board: str, clock: Clock
) -> None:
    tablet = pick_up()
    sit_down(tablet, board)
    tablet.lose_network()
    tablet.rider(0)
    tablet.clean()
    cancel(school.database, _session(board), clock())
    tablet.find_network()
    status = tablet.page.locator("[data-queue-status]")
    expect(status).to_have_text("1 ride needs a look")
    status.get_by_role("link").tap()
    expect(tablet.page.locator("[data-queue-list]")).to_contain_text("Book the place at the desk")
    assert len(tablet.items("refused")) == 1


def _newer(folder: Path) -> Path:
    """The files of a release after this one: a script has changed."""
    shutil.copytree(ROOT / "static", folder)
    with (folder / "js" / "worker.js").open("a") as script:
        script.write("// Changed.\n")
    return folder


def test_a_new_version_of_the_app_leaves_waiting_rides_alone(
    pick_up: PickUp, demo_factory: DemoFactory, clock: Clock, tmp_path: Path
) -> None:
    url = demo_factory.fresh()
    with serving(url, clock) as before:
        board = f"/yard/sessions/{four_riders(before.database, clock())}"
        tablet = pick_up(before.address)
        sit_down(tablet, board)
        tablet.lose_network()
        tablet.clean()
        tablet.context.clear_cookies()
    old = tablet.shells()
    assert len(old) == 1
    with serving(url, clock, port=before.port, static=_newer(tmp_path / "static")) as after:
        tablet.find_network()
        expect(tablet.page.locator("[data-queue-status]")).to_contain_text("Sign in to send")
        tablet.page.evaluate("navigator.serviceWorker.getRegistration().then((r) => r.update())")
        tablet.page.wait_for_function(
            "async (old) => { const names = await caches.keys();"
            " const kept = names.filter((n) => n.includes('shell'));"
            " return kept.length === 1 && kept[0] !== old; }",
            arg=old[0],
        )
        expect(tablet.page.locator("[data-queue-status]")).to_contain_text("1 ride waiting")
        tablet.page.locator("[data-queue-status] a").tap()
        SignInPage(tablet.page).enter(demo.sign_ins()[Role.INSTRUCTOR], demo.PASSWORD)
        expect(tablet.page.locator("[data-queue-status]")).to_have_text("All sent")
        assert len(rides_of(after.database, _session(board))) == 1
