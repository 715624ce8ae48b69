"""The bridge from a run to its pictures: two square views as SVG, with what is wrong or asked about in its own look."""

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
    """Both views of a run, laid out or only sketched; none where there is nothing to draw yet."""
    look = {place: "lit" for place in lit} | {place: "bad" for place in bad}
    wishes = SIZES | {"highlight": look, "tape": settings.TAPE}
    if layout is not None:
        return _svg(drawing.shape_views(layout, document, **wishes))
    if sketch is not None:
        shown = drawing.views_of_points(
            sketch.points, sketch.radii, sketch.diameter, features=sketch.places, document=document, **wishes
        )
        return _svg(shown)
    return ()


def views_of(revision: Revision, *, bad: Iterable[str] = (), lit: Iterable[str] = ()) -> tuple[SafeString, ...]:
    """Both views of a revision as it was kept."""
    sketch = None if revision.layout else bends.sketch(revision.document, revision.profile)
    return views(revision.document, revision.layout, sketch, bad=bad, lit=lit)


def icon(layout: Mapping[str, Any] | None) -> SafeString:
    """The finished shape as one fat line, for lists; empty before it is solved."""
    return mark_safe(drawing.to_svg(drawing.shape_icon(layout))) if layout else SafeString("")


def _svg(pair: Iterable[drawing.Drawing]) -> tuple[SafeString, ...]:
    return tuple(mark_safe(drawing.to_svg(one)) for one in pair)
