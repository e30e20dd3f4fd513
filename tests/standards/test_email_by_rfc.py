"""Email as a server gets it, read by the standard library's own parser and by the RFCs' rules."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import timedelta
from email import message_from_bytes
from email.headerregistry import AddressHeader
from email.message import EmailMessage
from email.policy import SMTP, default
from typing import cast

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from app.rules.letters import one_line
from app.rules.settings import SchoolSettings
from app.store.database import Database
from app.store.diary.letter_truth import no_longer_so
from app.store.letterhead import Sheet, sheet
from app.store.mail_line import POLICY
from app.store.mail_writing import From, Unwritable, from_words, wire_address, written
from app.store.outbox import MessageRow
from app.store.people.tables import StudentRow
from app.store.post_office import Office, Round, send_owed
from app.store.settings import save
from tests.support.cast import Cast
from tests.support.clock import START
from tests.support.diary import add_session, book
from tests.support.letters import LENA, write_to
from tests.support.mail_server import mail_server

NAME = "Zoë “Zed” Ångström, 陳大文"
BASE = "https://school.example.org"


@pytest.fixture
def raw(database: Database, people: Cast) -> Iterator[bytes]:
    """The bytes of a confirmation as a server was handed them."""
    write_to(database, people.learner)
    with database.writing() as session:
        session.get_one(StudentRow, people.learner).name = NAME
        save(session, SchoolSettings("Sältmarsh, Rider & School", school_email="desk@example.org"))
    book(database, add_session(database, people), people.learner, people.bike)
    with mail_server() as (postbox, smtp):
        office = Office(smtp, "bookings@example.org", BASE)
        assert send_owed(database, office, START, no_longer_so) == Round(sent=1)
        yield postbox.raw[0]


@pytest.fixture
def letter(raw: bytes) -> EmailMessage:
    """The same, parsed."""
    return message_from_bytes(raw, policy=default)


def test_lines_are_ascii_and_short(raw: bytes) -> None:
    """RFC 5322, 2.1.1: at most 998 characters, 78 where it can be; RFC 2045, 6: seven bits."""
    lines = raw.split(b"\r\n")
    assert raw.isascii()
    assert max(map(len, lines)) <= 78
    assert b"\n" not in raw.replace(b"\r\n", b"")


def test_it_has_the_fields_that_a_message_must_have_each_once(letter: EmailMessage) -> None:
    """RFC 5322, 3.6: Date and From must be there, and these at most once."""
    for name in ("Date", "From", "To", "Subject", "Message-ID", "Reply-To", "MIME-Version"):
        assert len(letter.get_all(name) or []) == 1, name
    assert letter["Date"].datetime == START
    assert not letter.defects
    assert not any(part.defects for part in letter.walk())


def test_it_comes_from_the_school_and_answers_go_to_its_desk(letter: EmailMessage) -> None:
    [sender] = cast(AddressHeader, letter["From"]).addresses
    assert (sender.display_name, sender.addr_spec) == (
        "Sältmarsh, Rider & School",
        "bookings@example.org",
    )
    assert letter["Reply-To"].addresses[0].addr_spec == "desk@example.org"
    assert letter["To"] == LENA


def test_the_message_id_is_one_identifier_at_the_senders_domain(letter: EmailMessage) -> None:
    """RFC 5322, 3.6.4."""
    assert re.fullmatch(r"<[0-9]+\.[0-9]+@example\.org>", letter["Message-ID"])


def test_no_program_is_to_answer_it(letter: EmailMessage) -> None:
    """RFC 3834, 5."""
    assert letter["Auto-Submitted"] == "auto-generated"


def test_the_same_words_stand_in_both_parts_text_first(letter: EmailMessage) -> None:
    """RFC 2046, 5.1.4: the last part is the one that a reader's program prefers."""
    assert letter.get_content_type() == "multipart/alternative"
    text, html = letter.iter_parts()
    assert [part.get_content_type() for part in (text, html)] == ["text/plain", "text/html"]
    assert [part.get_content_charset() for part in (text, html)] == ["utf-8", "utf-8"]
    said = re.sub(r"<[^>]+>", " ", html.get_content())
    for words in (f"Hello {NAME},", "Fri 27 Nov 2026, 09:00 to 11:00", "Ines Heron", "Bike 1"):
        assert words in text.get_content()
        assert words in said


def test_the_html_has_its_language_and_fetches_nothing(letter: EmailMessage) -> None:
    html = list(letter.iter_parts())[1].get_content()
    assert html.startswith("<!DOCTYPE html>")
    assert '<html lang="en-GB">' in html
    assert '<meta name="color-scheme" content="light dark">' in html
    assert not re.search(r"<(img|script|style|link|iframe|object)\b|\sstyle=|\ssrc=", html)
    assert re.findall(r'href="([^"]*)"', html) == [f"{BASE}/mine/messages"]


def test_the_way_out_is_named_and_not_said_to_be_one_click(letter: EmailMessage) -> None:
    """RFC 2369, 3.2. RFC 8058, 3.1 asks for a POST without signing in, which this has not."""
    assert letter["List-Unsubscribe"] == f"<{BASE}/mine/messages>"
    assert letter["List-Unsubscribe-Post"] is None


def message(**values: object) -> MessageRow:
    """A message that is owed, with usual values but for these."""
    usual = {"id": 7, "recipient": "nell@example.org", "subject": "Hello", "body": "Hello"}
    return MessageRow(**{**usual, "made_at": START, "html": None, "facts": None, **values})


def wire(row: MessageRow, sender: From, base: str | None = None) -> EmailMessage:
    """A message written, flattened for the wire and read again."""
    data = written(row, sheet(row, base), sender).as_bytes()
    assert data.isascii()
    return message_from_bytes(data, policy=default)


SCHOOL = From("Saltmarsh Rider School", "school@example.org")
HEADERS = {"From", "To", "Subject", "Date", "Message-ID", "Auto-Submitted"}
MIME = {"Content-Type", "Content-Transfer-Encoding", "MIME-Version"}


@given(st.text(max_size=400))
@example("Hello\r\nBcc: all@example.org")
@example("Hello\n\n<script>")
@example("\u2028Bcc: x\u0085X: y\x0bZ: 1")
@example("=?utf-8?q?Bcc=3A_x?=")
@example("x" * 5000)
@example("\ud800 broken")
@example("陳" * 300)
def test_no_subject_makes_another_header(subject: str) -> None:
    """RFC 5322, 2.2: a header ends where its line ends; so no text may end one."""
    read = wire(message(subject=subject), SCHOOL)
    assert set(read.keys()) == HEADERS | MIME
    assert read.get_payload(decode=True) == b"Hello\r\n"
    assert len(read["Subject"].splitlines()) <= 1


@given(st.text(max_size=150))
@example('Smith, "Bob" <evil@example.org>')
@example("a@b.example, c@d.example")
@example("Riding; school: \\ (comment)")
@example("=?utf-8?q?x=2C_y?= <evil@example.org>,")
@example("Ä, <evil@example.org>")
def test_no_name_of_a_school_makes_another_sender(name: str) -> None:
    """RFC 5322, 3.4: one mailbox in From, whatever stands in the name before it."""
    read = wire(message(), from_words("school@example.org", name, ""))
    assert set(read.keys()) == HEADERS | MIME
    assert [a.addr_spec for a in read["From"].addresses] == ["school@example.org"]


@given(st.text(max_size=80) | st.emails())
@example("nell@example.org, all@example.org")
@example("nell@example.org\r\nBcc: all@example.org")
@example("Nell <nell@example.org>")
@example("nell@example.org>")
@example('"a\\"@b"@example.org')
def test_a_recipient_is_one_address_or_nothing_is_sent(recipient: str) -> None:
    """RFC 5321, 4.1.1.3: one RCPT names one mailbox."""
    try:
        address = wire_address(recipient)
    except Unwritable:
        with pytest.raises(Unwritable):
            written(message(recipient=recipient), Sheet("Hello", None, None), SCHOOL)
        return
    assert not re.search(r"[\s<>,;]", address)
    data = written(message(recipient=recipient), Sheet("Hello", None, None), SCHOOL)
    flat = data.as_bytes(policy=POLICY.clone(utf8=True))
    read = message_from_bytes(flat, policy=SMTP)
    assert set(read.keys()) == HEADERS | MIME
    assert str(read["To"]) == address


@given(st.text(st.characters(codec="utf-8"), max_size=2000))
@example(".\r\n.\r\nQUIT\r\n")
@example("From here\r\n")
@example("x" * 3000)
def test_a_text_arrives_as_it_was(body: str) -> None:
    """RFC 5321, 4.5.2 for the dots, RFC 2045, 6.7 for long lines."""
    got = wire(message(body=body), SCHOOL).get_content()
    assert _lines(got) == _lines(body)


def _lines(text: str) -> list[str]:
    """The lines of a text, whatever they end in, without empty ones at its end."""
    return re.split(r"\r\n|\r|\n", re.sub(r"[\r\n]+\Z", "", text))


def test_a_configured_name_stands_before_the_schools_own() -> None:
    assert from_words("The desk <a@example.org>", "School", "") == From("The desk", "a@example.org")
    assert from_words("a@example.org", "School", "") == From("School", "a@example.org")


def test_an_address_of_the_desk_that_is_none_keeps_nothing_from_leaving() -> None:
    read = wire(message(), From("School", "school@example.org", "ring us"))
    assert read["Reply-To"] is None


def test_a_message_tried_again_is_the_same_message() -> None:
    row = message()
    first = wire(row, SCHOOL)
    row.tries, row.claimed_at = 5, START + timedelta(days=1)
    assert (wire(row, SCHOOL)["Message-ID"], wire(row, SCHOOL)["Date"]) == (
        first["Message-ID"],
        first["Date"],
    )


def test_the_foot_says_where_to_choose_or_whom_to_tell() -> None:
    row = message(html="<p>Hello</p>", facts={"own_page": True})
    assert sheet(row, BASE + "/").text.endswith(
        "-- \nYour bookings, and which of these messages you get:\n"
        "https://school.example.org/mine/messages\n"
    )
    for without in (sheet(row, None), sheet(message(html="<p>Hello</p>"), BASE)):
        assert without.link is None
        assert "Tell the school if you do not want messages of this kind." in without.text
    assert wire(row, SCHOOL)["List-Unsubscribe"] is None


@given(st.text(st.characters(codec="utf-8"), max_size=200).filter(lambda text: "=?" not in text))
@example("Booked: " + "Überlandfahrt und Bremsübung " * 6)
@example("陳大文" * 40)
@example("a " * 75)
def test_a_subject_in_any_script_is_read_as_it_was_written(subject: str) -> None:
    """RFC 2047, 6.2: the white space between encoded words is not part of the text."""
    assert wire(message(subject=subject), SCHOOL)["Subject"] == one_line(subject)
