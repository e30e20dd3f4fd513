"""Passwords that are guessed first.

A short list from memory, without a source: what people type year after year,
and words that this app invites. SP 800-63B-4 section 3.1.1.2 holds that a long
list adds little where tries are limited, as they are here.
"""

from __future__ import annotations

_WORDS = """
password passwort passphrase passw0rd p4ssword letmein letmeinplease welcome iloveyou
iloveyousomuch monkey dragon sunshine princess football baseball master shadow trustno1 admin
administrator root login guest changeme secret default computer internet whatever freedom hello
flower cheese summer winter autumn spring motorcycle motorbike yardmark ridingschool learnerrider
thisisapassword mypassword correcthorsebatterystaple
qwerty qwertyuiop asdfgh asdfghjkl zxcvbn zxcvbnm 1q2w3e4r 1qaz2wsx qwertyuiopasdfghjklzxcvbnm
abcdef abcdefghijklmnopqrstuvwxyz abcdefghijklmno 123456 123456789 1234567890 0123456789
987654321 0987654321 111111 000000 abc123 qwerty123
"""

COMMONEST = frozenset(_WORDS.split())
"""Each in lower case, letters and digits only."""
