"""Template words for states, tags and bars: shape, word, colour, in that order of trust."""

from collections.abc import Mapping

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from shop.jobs.templatetags.racewright import icon

register = template.Library()

STOP, WAIT, GO, PLAIN = "stop", "wait", "go", ""
# word: shape and tone. A word that isn't here says what to do now, which is good news.
LOOKS: dict[str, tuple[str, str]] = {
    **dict.fromkeys(("SCRAP", "REPLACED", "OLD REV", "WRONG JOB", "CANNOT BE BENT", "NOT PRINTED"), ("octagon", STOP)),
    "HOLD": ("square", WAIT),
    **dict.fromkeys(
        ("DAMAGED", "WRONG PLACE", "LOST", "SHORT", "OVER", "NOT CHECKED", "LOOK", "USED ELSEWHERE", "FIELD-MODIFIED"),
        ("triangle", WAIT),
    ),
    "QUESTION": ("speech", STOP),
    "NOT SENT": ("tray", WAIT),
    **dict.fromkeys(("SENT", "ANSWERED"), ("tray-tick", GO)),
    **dict.fromkeys(("NOT SEEN", "NOT TESTED", "CANCELLED"), ("ring", PLAIN)),
    "RUSH": ("chevrons", PLAIN),
}
GOOD = ("disc", GO)

# The five steps of an area, done first: key, words, class, pattern.
STEPS = (
    ("in", "in", "b-in", ""),
    ("here", "here", "b-here", ""),
    ("on_truck", "on truck", "", "bar-truck"),
    ("in_shop", "in shop", "", "bar-shop"),
    ("asked", "asked", "b-asked", ""),
)
LEAST_SHARE = 1.5  # per cent: about 4 px of a phone's width


def look_of(word: str) -> tuple[str, str]:
    return LOOKS.get(str(word).upper().replace("_", " "), GOOD)


@register.simple_tag
def state_icon(word: str, size: str = "") -> SafeString:
    """The shape of a state's word, for the eye alone."""
    return icon(look_of(word)[0], size)


@register.filter
def tone(word: str) -> str:
    """`stop`, `wait`, `go` or nothing: the class of a band or a word."""
    return look_of(word)[1]


@register.simple_tag
def state(word: str, words: str = "") -> SafeString:
    """Shape and word together: `{% state "HOLD" %}`, `{% state "QUESTION" "needs your answer" %}`."""
    return format_html('<span class="st {}">{} {}</span>', tone(word), state_icon(word), words or word)


@register.inclusion_tag("parts/_tag.html")
def tag(letters: object, rev: str = "", remake: int = 0, copy: object = "") -> dict[str, object]:
    """A tie tag: what has a hole hangs on steel. `remake=1` prints R1, `rev="B"` prints REV B."""
    return {"letters": letters, "rev": rev, "remake": remake, "copy": copy}


@register.inclusion_tag("parts/_area_bar.html")
def area_bar(counts: object, tall: bool = False) -> dict[str, object]:
    """Five counts as one bar told apart by pattern.

    `counts` has in, here, on_truck, in_shop and asked as keys, or as attributes with in_ for in.
    """
    numbers = [(step, _count(counts, step[0])) for step in STEPS]
    words = ", ".join(f"{number} {step[1]}" for step, number in numbers if number)
    return {"steps": _laid_out(numbers), "words": words or "nothing asked", "tall": tall}


@register.inclusion_tag("parts/_legend.html")
def area_legend() -> dict[str, object]:
    """What the five patterns mean."""
    return {}


@register.simple_tag
def swatch(step: str) -> SafeString:
    """One step's pattern as a small box: in, here, on_truck, in_shop or asked."""
    if step not in {name for name, *_ in STEPS}:
        raise ValueError(f"{step!r} is no step of an area")
    return format_html('<i class="sw b-{}"></i>', step)


@register.inclusion_tag("parts/_fills.html")
def fills(done: int, total: int, shown: object = None) -> dict[str, object]:
    """A small box that fills from the left: `{% fills 17 24 %}`."""
    share = round(100 * min(done, total) / total, 1) if total else 0
    return {
        "done": done,
        "total": total,
        "share": share,
        "full": bool(total) and done >= total,
        "shown": done if shown is None else shown,
    }


def _count(counts: object, key: str) -> int:
    if isinstance(counts, Mapping):
        return int(counts[key])
    return int(getattr(counts, "in_" if key == "in" else key))


Step = tuple[str, str, str, str]


def _laid_out(numbers: list[tuple[Step, int]]) -> list[dict[str, object]]:
    """Where each step that exists begins and how wide it is, in per cent; none too narrow to be seen."""
    present = [(step, number) for step, number in numbers if number]
    total = sum(number for _, number in present)
    shares = [max(100 * number / total, LEAST_SHARE) for _, number in present]
    laid: list[dict[str, object]] = []
    at = 0.0
    for (step, _), share in zip(present, shares, strict=True):
        wide = 100 * share / sum(shares)
        laid.append({"class": step[2], "pattern": step[3], "at": f"{at:.2f}", "wide": f"{wide:.2f}"})
        at += wide
    return laid
