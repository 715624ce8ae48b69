"""Lengths and angles as the trade says them."""

from __future__ import annotations

import math

from bending.lengths import format_length


def up_to_tape(inches: float) -> str:
    """A least length as a tape shows it: rounded up, never down."""
    return format_length(math.ceil(inches * 16 - 1e-6) / 16).rstrip('"')


def angle_text(angle: float) -> str:
    """Degrees as the trade writes them: 22½."""
    whole, rest = divmod(angle, 1)
    return f"{whole:g}½" if rest == 0.5 else f"{angle:.4g}"
