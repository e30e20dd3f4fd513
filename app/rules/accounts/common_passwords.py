"""Passwords that are guessed first, and words that this app invites people to use.

A short list from memory of what breach reports name year after year; only
entries that can grow to the minimum length by repeating or counting matter here.
"""

from __future__ import annotations

COMMONEST = frozenset(
    """
    password passw0rd passwort p4ssword letmein welcome iloveyou monkey dragon sunshine princess
    football baseball superman batman master shadow michael jordan liverpool arsenal chelsea
    manchester qwerty qwertyuiop qwerty123 asdfghjkl zxcvbnm 1q2w3e4r 1qaz2wsx abc123 abcdefg
    abcdefghijklmnop abcdefghijklmno 123456 1234567 12345678 123456789 1234567890 0123456789
    0987654321 987654321 987654321 111111 000000 654321 666666 trustno1 admin administrator root
    login guest changeme secret default computer internet whatever starwars freedom hello flower
    cheese charlie jessica daniel ashley summer winter autumn spring motorcycle motorbike
    yardmark ridingschool correcthorsebatterystaple thisisapassword mypassword passwordpassword
    iloveyousomuch letmeinplease
    """.split()
)
"""Each in lower case, letters and digits only."""
