"""The shop's colour of each trade size, the same on ticket, label and screen. The size is always written as well."""

# Black or white reads on each of these at 7:1 or better (WCAG 2 contrast); a test holds them to it.
SIZE_COLOURS = {
    "1/2": "#F4EFE0",
    "3/4": "#9AD0F5",
    "1": "#F7C79C",
    "1-1/4": "#5B3A1E",
    "1-1/2": "#E3B8F0",
    "2": "#BFE3A8",
    "2-1/2": "#14406B",
    "3": "#FFE066",
    "3-1/2": "#4A1F52",
    "4": "#C3CCC6",
    "5": "#0B4F3A",
    "6": "#F2B5B5",
}
PLAIN = "#FFFFFF"


def size_colour(size: str) -> str:
    """#RRGGBB of a trade size; white for one without a colour."""
    return SIZE_COLOURS.get(size, PLAIN)


def luminance(colour: str) -> float:
    """Relative luminance of #RRGGBB, 0 to 1 (WCAG 2)."""
    parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(colour: str, other: str) -> float:
    """Contrast of two colours, 1 to 21 (WCAG 2)."""
    low, high = sorted((luminance(colour), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def ink_on(colour: str) -> str:
    """Black or white, whichever reads better on the colour."""
    return max("#000000", "#FFFFFF", key=lambda ink: contrast(ink, colour))
