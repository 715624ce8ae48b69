"""A CAD kernel as judge: it makes its own arcs and measures on its own. (Open CASCADE Technology, by its Python
bindings; a general-purpose kernel that shares no code with this project.)"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeWire
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.BRepGProp import BRepGProp
from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeCylinder
from OCP.GC import GC_MakeArcOfCircle, GC_MakeSegment
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt, gp_Vec
from OCP.GProp import GProp_GProps
from OCP.TopExp import TopExp

Place = Sequence[float]


def wire(piece: dict[str, Any]) -> Any:
    """A piece of a fold/1 document as straights and arcs. Of a bend it is told both ends and the way in, no radius."""
    made, here = BRepBuilderAPI_MakeWire(), piece["points"][0]
    for bend in piece["bends"]:
        _straight(made, here, bend["start"])
        way = gp_Vec(gp_Pnt(*bend["start"]), gp_Pnt(*bend["pi"]))
        arc = GC_MakeArcOfCircle(gp_Pnt(*bend["start"]), way, gp_Pnt(*bend["end"])).Value()
        made.Add(BRepBuilderAPI_MakeEdge(arc).Edge())
        here = bend["end"]
    _straight(made, here, piece["points"][-1])
    return made.Wire()


def _straight(made: Any, one: Place, other: Place) -> None:
    """The kernel takes points nearer than its own tolerance for one."""
    if gp_Pnt(*one).Distance(gp_Pnt(*other)) > 1e-6:
        made.Add(BRepBuilderAPI_MakeEdge(GC_MakeSegment(gp_Pnt(*one), gp_Pnt(*other)).Value()).Edge())


def length(shape: Any) -> float:
    found = GProp_GProps()
    BRepGProp.LinearProperties_s(shape, found)
    return found.Mass()


def ends(shape: Any) -> tuple[Place, Place]:
    from OCP.BRep import BRep_Tool
    from OCP.TopoDS import TopoDS_Vertex

    first, last = TopoDS_Vertex(), TopoDS_Vertex()
    TopExp.Vertices_s(shape, first, last)
    one, other = BRep_Tool.Pnt_s(first), BRep_Tool.Pnt_s(last)
    return (one.X(), one.Y(), one.Z()), (other.X(), other.Y(), other.Z())


def box(corner: Place, ways: tuple[Place, Place], sizes: Place) -> Any:
    """A box from one corner along two ways square to each other, and along their vector product."""
    along, across = (gp_Dir(*way) for way in ways)
    axes = gp_Ax2(gp_Pnt(*corner), along.Crossed(across), along)
    return BRepPrimAPI_MakeBox(axes, *sizes).Solid()


def cylinder(middle: Place, way: Place, radius: float, long: float) -> Any:
    """A round bar, `long` to either side of its middle."""
    start = gp_Pnt(*(at - long * along for at, along in zip(middle, way, strict=True)))
    return BRepPrimAPI_MakeCylinder(gp_Ax2(start, gp_Dir(*way)), radius, 2 * long).Solid()


def distance(one: Any, other: Any) -> float:
    return BRepExtrema_DistShapeShape(one, other).Value()
