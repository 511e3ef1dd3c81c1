"""A plan as DXF, for a cutter or a drawing program: millimetres, one layer for each operation.

DXF counts y upwards, so the plan's lower left corner is its origin.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import TYPE_CHECKING

from brief.instrument.plans.draughting import MARGIN_MM, cautions_below
from brief.instrument.plans.files.arcs import bulged
from brief.instrument.plans.plan import PENS, Circle, Line, Plan, Shape, Words

if TYPE_CHECKING:
    from ezdxf.layouts.layout import Modelspace


def as_dxf(plan: Plan, cautions: Sequence[str] = ()) -> str:
    """The plan as the text of a DXF file (R2010), to be written as UTF-8.

    Lines are LWPOLYLINE with arcs as arcs, circles CIRCLE and words TEXT, in the model space at 1
    to 1, mm; the header says how far it reaches.
    `cautions` are for whoever cuts from it, in lines under the sheet, so below y = 0.
    """
    from ezdxf import units
    from ezdxf.filemanagement import new
    from ezdxf.lldxf.const import VALID_DXF_LINEWEIGHTS

    drawing = new("R2010", setup=["linetypes"], units=units.MM)
    drawing.header["$MEASUREMENT"] = 1  # metric line types and hatches
    drawing.header["$LUNITS"] = 2  # decimal
    for layer, pen in PENS.items():
        red, green, blue = bytes.fromhex(pen.colour[1:])
        made = drawing.layers.add(layer, linetype="CENTER" if pen.dashes else "CONTINUOUS")
        made.rgb = (red, green, blue)
        made.dxf.lineweight = max(
            known for known in VALID_DXF_LINEWEIGHTS if known <= 100 * pen.width_mm
        )
    space = drawing.modelspace()
    below = cautions_below(plan, cautions)
    for shape in (*plan.shapes, *below):
        _draw(space, shape, plan.height_mm)
    # What is drawn, within its margin: ezdxf writes no extents that begin at 0, 0.
    foot = plan.height_mm - below[-1].at[1] if below else MARGIN_MM
    far, top = plan.width_mm - MARGIN_MM, plan.height_mm - MARGIN_MM
    space.reset_extents((MARGIN_MM, foot, 0.0), (far, top, 0.0))
    middle = plan.width_mm / 2, (plan.height_mm + foot) / 2
    drawing.set_modelspace_vport(plan.height_mm - foot, center=middle)
    text = io.StringIO()
    drawing.write(text)
    return text.getvalue()


def _draw(space: Modelspace, shape: Shape, height_mm: float) -> None:
    from ezdxf.enums import TextEntityAlignment as Align

    on = {"layer": shape.layer}
    match shape:
        case Line():
            points = [(x, height_mm - y) for x, y in shape.points]
            run = bulged(points, closed=shape.closed)
            space.add_lwpolyline(run, format="xyb", close=shape.closed, dxfattribs=on)
        case Circle():
            x, y = shape.middle
            space.add_circle((x, height_mm - y), shape.radius_mm, dxfattribs=on)
        case Words():
            words = space.add_text(
                _plain(shape.text),
                height=shape.height_mm * 0.7,  # DXF measures a capital, not the whole letter
                rotation=90.0 if shape.upright else 0.0,
                dxfattribs=on,
            )
            aligns = {"start": Align.LEFT, "middle": Align.CENTER, "end": Align.RIGHT}
            x, y = shape.at
            words.set_placement((x, height_mm - y), align=aligns[shape.anchor])


def _plain(text: str) -> str:
    r"""Text that a reader of DXF takes as it is: %% and ^ begin codes there, as does \U+."""
    return text.replace("%%", "% %").replace("^", "^ ").replace("\\", "/")
