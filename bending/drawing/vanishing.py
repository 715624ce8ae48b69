"""One vanishing point: the run as an eye sees it that looks along the first leg from under the ceiling."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from bending.drawing.panel import Panel, look_of
from bending.drawing.primitives import Circle, Line, Point, Polygon, Polyline
from bending.drawing.views import View
from bending.drawing.wire import Elbow, Part, Vector, Wire, centreline, dot, sub

# The eye stands this many diameters under the pipe at least. A man's true height would flatten every picture.
EYE_UNDER = 12.0
# How much of the pipe's depth the eye stands before it, and how far aside.
BEFORE, ASIDE = 1.0, 0.5
NEAREST = 1e-3
# A part shorter on the sheet than this share of its width is seen end on.
END_ON = 0.9
# Bends are sampled at every second point of their centreline: flat enough, and half the size.
SKIP = 2


@dataclass(frozen=True)
class EyeView(View):
    """Places as an eye sees them, in inches at the distance `focus` from it."""

    eye: Vector = (0.0, 0.0, 0.0)
    focus: float = 1.0

    def depth(self, point: Vector) -> float:
        """How far ahead of the eye a point lies, never quite at it."""
        return max(-dot(sub(point, self.eye), self.toward_eye), NEAREST * self.focus)

    def flat(self, point: Vector) -> Point:
        """Where a place in space, in inches, comes on the picture, as the eye sees it."""
        share, reach = self.focus / self.depth(point), sub(point, self.eye)
        return dot(reach, self.right) * share, dot(reach, self.up) * share


def eye_view(view: View, wire: Wire) -> EyeView:
    """The eye for a wire as it is drawn: behind its start, under it, and aside so that the run leans."""
    ahead = tuple(-part for part in view.toward_eye)
    points = [point for part in wire.parts for point in centreline(part)]
    depths = [sum(a * b for a, b in zip(point, ahead, strict=True)) for point in points]
    sides = [dot(point, view.right) for point in points]
    depth = max(depths) - min(depths)
    drops = [abs(dot(sub(one.end, one.start), view.up)) for one in wire.straights if one.feature]
    under = max(EYE_UNDER * wire.diameter, 0.5 * depth, 3.5 * max(drops, default=0.0))
    before = max(BEFORE * depth, 10 * wire.diameter)
    # The run leans away from the side that it goes to: there is its room.
    side = sides[0] + ASIDE * under * (1 if sum(sides) / len(sides) <= sides[0] + 1e-6 else -1)
    back = min(depths) - before
    eye = [a * back + r * side - u * under for a, r, u in zip(ahead, view.right, view.up, strict=True)]
    return EyeView(view.name, view.right, view.up, (eye[0], eye[1], eye[2]), before + depth / 2)


def draw_pipe_seen(panel: Panel, view: EyeView, open_start: bool) -> None:
    """The pipe as wide as the eye sees it, the far stretches first; `open_start` leaves the start without an edge."""
    for _, _, stretch, is_under in sorted(_layers(panel, view), key=lambda layer: layer[:2]):
        _draw_stretch(panel, view, stretch, is_under)
    ends = [(panel.fit.wire.parts[-1], True)] if open_start else [(panel.fit.wire.parts[0], False)]
    for part, last in ends if open_start else [*ends, (panel.fit.wire.parts[-1], True)]:
        _draw_cut(panel, view, part, last)


def _layers(panel: Panel, view: EyeView) -> list[tuple[float, int, list[Part], bool]]:
    """Stretches by how near they are. One seen end on is drawn twice: its outline under its neighbours, its body over
    the farther one, so that no edge runs across the pipe."""
    stretches = _stretches(panel, view)
    near = [-_mean_depth(stretch, view) for stretch in stretches]
    layers = [(near[index], 1, stretch, False) for index, stretch in enumerate(stretches)]
    for index, stretch in enumerate(stretches):
        if _is_end_on(_discs(panel, view, _samples(stretch))):
            layers.append((min(near[max(index - 1, 0) : index + 2]), 0, stretch, True))
    return layers


def _stretches(panel: Panel, view: EyeView) -> list[list[Part]]:
    """Parts of one look together; every part alone where the pipe passes before itself."""
    crossing = _crosses(panel, view)
    found: list[list[Part]] = []
    for part in panel.fit.wire.parts:
        same = found and look_of(found[-1][-1], panel.wishes) == look_of(part, panel.wishes)
        if same and not crossing:
            found[-1].append(part)
        else:
            found.append([part])
    return found


def _is_end_on(discs: Sequence[tuple[Point, float]]) -> bool:
    """Whether the eye looks so much along a part that it has no two sides."""
    (first, half), (last, other) = discs[0], discs[-1]
    return math.dist(first, last) < END_ON * (half + other)


def _crosses(panel: Panel, view: EyeView) -> bool:
    discs = [_discs(panel, view, centreline(part)[::SKIP]) for part in panel.fit.wire.parts]
    return _turns_back([disc for some in discs for disc in some]) or any(
        math.dist(a[0], b[0]) < a[1] + b[1]
        for index, some in enumerate(discs)
        for other in discs[index + 3 :]
        for a in some
        for b in other
    )


def _turns_back(discs: Sequence[tuple[Point, float]]) -> bool:
    """Whether the pipe's picture comes back on itself, as the far side of a saddle does."""
    ways = []
    for ((x, y), half), ((to_x, to_y), _) in pairwise(discs):
        long = math.dist((x, y), (to_x, to_y))
        if long > 0.4 * half:
            ways.append(((to_x - x) / long, (to_y - y) / long))
    return any(a[0] * b[0] + a[1] * b[1] < 0 for a, b in pairwise(ways))


def _mean_depth(stretch: Sequence[Part], view: EyeView) -> float:
    return sum(view.depth(part.start) + view.depth(part.end) for part in stretch) / len(stretch)


def _discs(panel: Panel, view: EyeView, points: Iterable[Vector]) -> list[tuple[Point, float]]:
    """Where points of the centreline stand on the sheet, each with half the pipe's width there."""
    half = panel.pipe_width / 2
    return [(panel.at(point), half * view.focus / view.depth(point)) for point in points]


def _samples(stretch: Sequence[Part]) -> list[Vector]:
    points: list[Vector] = []
    for part in stretch:
        line = centreline(part)
        points += [*line[:-1:SKIP], line[-1]] if isinstance(part, Elbow) else line
    return [point for index, point in enumerate(points) if not index or math.dist(point, points[index - 1]) > 1e-9]


def _draw_stretch(panel: Panel, view: EyeView, stretch: Sequence[Part], is_under: bool) -> None:
    """The outline of a row of discs: body, then both edges; end on, the outline around all of them, or the body."""
    discs = _discs(panel, view, _samples(stretch))
    look = look_of(stretch[0], panel.wishes)
    for (point, half), (other, _) in pairwise(discs):
        panel.taken.add_line((point, other), half)
    if _is_end_on(discs):
        thin = 0.0 if is_under else 1.25 * panel.unit
        outline = hull([place for point, half in discs for place in _round(point, half - thin)])
        panel.draw(Polygon(outline, f"{'pipe' if is_under else 'body'}{look}"))
        return
    edges = [_edge(discs, side) for side in (1, -1)]
    panel.draw(Polygon((*edges[0], *reversed(edges[1])), f"body{look}"))
    panel.draw(*(Polyline(edge, f"cut{look}") for edge in edges))


def _round(centre: Point, radius: float) -> list[Point]:
    turns = [math.radians(20 * step) for step in range(18)]
    return [(centre[0] + radius * math.cos(turn), centre[1] + radius * math.sin(turn)) for turn in turns]


def _edge(discs: Sequence[tuple[Point, float]], side: int) -> tuple[Point, ...]:
    """One side of a row of discs, without the loops inside a tight bend."""
    found = []
    for index, ((x, y), half) in enumerate(discs):
        across = _across(discs, index)
        place = (x + across[0] * half * side, y + across[1] * half * side)
        if all(math.dist(place, centre) > radius - 0.6 for centre, radius in discs):
            found.append(place)
    return tuple(found) if len(found) > 1 else tuple(centre for centre, _ in discs)


def _across(discs: Sequence[tuple[Point, float]], index: int) -> Point:
    """The direction on the sheet square to the row of discs at one of them."""
    before, after = discs[max(index - 1, 0)][0], discs[min(index + 1, len(discs) - 1)][0]
    x, y = after[0] - before[0], after[1] - before[1]
    long = math.hypot(x, y) or 1.0
    return -y / long, x / long


def _draw_cut(panel: Panel, view: EyeView, part: Part, last: bool) -> None:
    discs = _discs(panel, view, _samples([part]))
    (x, y), half = discs[-1 if last else 0]
    if _is_end_on(discs):
        # From behind the start, its bore is seen; the far end's never.
        panel.draw(*([] if last else [Circle((x, y), half * 0.72, "bore")]))
        return
    ax, ay = _across(discs, len(discs) - 1 if last else 0)
    look = look_of(part, panel.wishes)
    panel.draw(Line((x - ax * half, y - ay * half), (x + ax * half, y + ay * half), f"cut{look}"))


def hull(points: Sequence[Point]) -> tuple[Point, ...]:
    """The convex outline of points."""
    ordered = sorted(set(points))
    if len(ordered) < 3:
        return tuple(ordered)
    return tuple(_chain(ordered)[:-1] + _chain(ordered[::-1])[:-1])


def _chain(points: Sequence[Point]) -> list[Point]:
    found: list[Point] = []
    for point in points:
        while len(found) > 1 and _turn(found[-2], found[-1], point) <= 0:
            found.pop()
        found.append(point)
    return found


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
