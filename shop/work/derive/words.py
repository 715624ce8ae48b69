"""Codes in the order in which people count, S-04.2 before S-04.10."""

import re


def natural(key: str) -> tuple[tuple[int, int, str], ...]:
    """Sorts S-04.2 before S-04.10."""
    parts = re.findall(r"\d+|\D+", key)
    return tuple((0, int(part), "") if part.isdecimal() and part.isascii() else (1, 0, part) for part in parts)
