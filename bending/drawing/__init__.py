"""Drawings of a run as plain data, and those data as SVG.

Shapes are lists of primitives with style names; a screen, a printer or a test reads the same list.
"""

from bending.drawing.clock import hook_sign, mark_sign, shoe_clock
from bending.drawing.pens import MEDIA, PENS, Pen
from bending.drawing.primitives import Circle, Drawing, Item, Line, Number, Polygon, Polyline, Text, Tube
from bending.drawing.rackplan import plan_of_rack, rack_plan
from bending.drawing.sawplan import saw_plan
from bending.drawing.shape import check_dimensions, shape_icon, shape_views, views_of_points
from bending.drawing.solid import solid
from bending.drawing.standing import standing_of_points, standing_view
from bending.drawing.stick import stick
from bending.drawing.svg import to_svg
from bending.drawing.swept import swept

__all__ = [
    "MEDIA",
    "PENS",
    "Circle",
    "Drawing",
    "Item",
    "Line",
    "Number",
    "Pen",
    "Polygon",
    "Polyline",
    "Text",
    "Tube",
    "check_dimensions",
    "hook_sign",
    "mark_sign",
    "plan_of_rack",
    "rack_plan",
    "saw_plan",
    "shape_icon",
    "shape_views",
    "shoe_clock",
    "solid",
    "standing_of_points",
    "standing_view",
    "stick",
    "swept",
    "to_svg",
    "views_of_points",
]
