"""What an instructor must be authorised for, and by whom training is given."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum


class Authorisation(StrEnum):
    """What an instructor may teach.

    Official (DVSA manual for training bodies): CBT has an authorisation of its own,
    and so has direct access, the training for category A and A2 on large machines.
    """

    CBT = "cbt"
    DIRECT_ACCESS = "direct_access"


AUTHORISATION_WORDS: Mapping[Authorisation, str] = {
    Authorisation.CBT: "CBT",
    Authorisation.DIRECT_ACCESS: "direct access",
}
