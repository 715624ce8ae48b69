"""The bridge from a run to its pictures: square views and how it hangs, with what is wrong or asked about lit."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.conf import settings
from django.utils.safestring import SafeString, mark_safe

from bending import drawing
from shop.requests import bends
from shop.requests.models import Revision

# The pictures are drawn once for a phone's width; at the desk the page lets them grow.
SIZES: dict[str, Any] = {"width": 390, "most_height": 150, "text": 16}


def views(
    document: Mapping[str, Any],
    layout: Mapping[str, Any] | None,
    sketch: bends.Sketch | None = None,
    *,
    bad: Iterable[str] = (),
    lit: Iterable[str] = (),
) -> tuple[SafeString, ...]:
    """Both views of a run, laid out or only sketched, and how it hangs if that is known; none where there is no run."""
    look = {place: "lit" for place in lit} | {place: "bad" for place in bad}
    wishes = SIZES | {"highlight": look, "tape": settings.TAPE}
    if layout is not None:
        pair = drawing.shape_views(layout, document, **wishes)
        return _svg((*pair, drawing.standing_view(layout, document, **wishes)))
    if sketch is not None:
        wishes |= {"features": sketch.places, "document": document}
        points = (sketch.points, sketch.radii, sketch.diameter)
        return _svg((*drawing.views_of_points(*points, **wishes), drawing.standing_of_points(*points, **wishes)))
    return ()


def views_of(revision: Revision, *, bad: Iterable[str] = (), lit: Iterable[str] = ()) -> tuple[SafeString, ...]:
    """The views of a revision as it was kept."""
    sketch = None if revision.layout else bends.sketch(revision.document, revision.profile)
    return views(revision.document, revision.layout, sketch, bad=bad, lit=lit)


def icon(layout: Mapping[str, Any] | None) -> SafeString:
    """The finished shape as one fat line, for lists; empty before it is solved."""
    return mark_safe(drawing.to_svg(drawing.shape_icon(layout))) if layout else SafeString("")


def solid(revision: Revision) -> dict[str, Any] | None:
    """What the view that can be turned needs; none before the run is solved."""
    return drawing.solid(revision.layout, revision.document) if revision.layout else None


def _svg(drawn: Iterable[drawing.Drawing | None]) -> tuple[SafeString, ...]:
    return tuple(mark_safe(drawing.to_svg(one)) for one in drawn if one is not None)
