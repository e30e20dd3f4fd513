"""A file that goes along with a form from one step to the next, small and untouched."""

from __future__ import annotations

from base64 import b64decode, b64encode
from binascii import Error
from zlib import compress, decompressobj
from zlib import error as ZlibError  # noqa: N812 (a class, in spite of its name)

from app.rules.refusal import Reason, Refused

MOST_PACKED = 450_000
"""So many characters leave room for the rest of a form (500 kB in all)."""


def pack(data: bytes, too_much: str) -> str:
    """Text for a hidden field. Raises Refused with ``too_much`` when it cannot be small enough."""
    text = b64encode(compress(data, 9)).decode("ascii")
    if len(text) > MOST_PACKED:
        raise Refused(Reason(too_much, "file"))
    return text


def unpack(text: str, most: int) -> bytes:
    """The file again, one byte more than ``most`` at most. Refused for what is none of ours."""
    try:
        reader = decompressobj()
        return reader.decompress(b64decode(text, validate=True), most + 1)
    except (Error, ValueError, ZlibError):
        raise Refused(Reason("This form came back damaged. Choose the file again.")) from None
