"""Where a rule stands in the code, in the edition that a run asks for; said plainly where that text wasn't read."""

from __future__ import annotations

# Sections whose text was read, in the edition that it was read in.
_READ = {("2020", "358.26"), ("2020", "358.30(A)")}


def code(edition: str, section: str, read_in: str = "") -> str:
    """The source of a rule: edition, section, and what was read instead of it where it wasn't."""
    named = f"NFPA 70 (NEC) {edition}, {section}"
    if (edition, section) in _READ:
        return named
    return f"{named}; edition not verified{f', read in {read_in}' if read_in else ''}"
