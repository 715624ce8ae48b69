"""Codes on labels and signs: nine random characters and a check character, printed 4-3-3.

None of 0 O 1 I L stands in a code. The check character is a weighted sum modulo 31 (the alphabet's
length, a prime), so every single wrong character and every swap of two neighbours is found.
"""

import secrets

ALPHABET = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"
LENGTH = 10
SHORT = 6
LOOKS_LIKE = str.maketrans({"-": "", " ": "", ".": ""})


def _check_character(body: str) -> str:
    return ALPHABET[sum((place + 1) * ALPHABET.index(sign) for place, sign in enumerate(body)) % len(ALPHABET)]


def new_code() -> str:
    """Ten characters; the last one checks the nine before it."""
    body = "".join(secrets.choice(ALPHABET) for _ in range(LENGTH - 1))
    return body + _check_character(body)


def clean_code(typed: str) -> str:
    """What was typed or scanned, in capitals and without blanks, hyphens and dots."""
    return typed.strip().upper().translate(LOOKS_LIKE)


def is_code(text: str) -> bool:
    """Whether the text is a whole code with a right check character."""
    known = len(text) == LENGTH and all(sign in ALPHABET for sign in text)
    return known and _check_character(text[:-1]) == text[-1]


def is_short_code(text: str) -> bool:
    """Whether the text may be the last six of a code, which is enough inside a job."""
    return len(text) == SHORT and all(sign in ALPHABET for sign in text)


def printed(code: str) -> str:
    """QK7RMD3HX6 as it is printed: QK7R MD3 HX6."""
    return f"{code[:4]} {code[4:7]} {code[7:]}"
