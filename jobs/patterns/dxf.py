"""Drawings as DXF, in millimetres: what a CAD program or a machine's own program opens."""

from io import StringIO

import ezdxf
from ezdxf.document import Drawing as Document
from ezdxf.enums import TextEntityAlignment
from ezdxf.layouts import Modelspace

from jobs.patterns.drawing import LAYERS, Arc, Circle, Dimension, Drawing, Layer, Line, Shape

# Colours of the AutoCAD index; 7 is black on white and white on black.
COLOURS: dict[Layer, int] = {"outline": 8, "cut": 1, "centre": 5, "holes": 7, "measures": 3, "text": 7}
MILLIMETRES = 4
LETTERS = 4.0
STYLE = "MILLIMETRES"


def write_dxf(drawing: Drawing) -> bytes:
    """R2010, with a layer for each of the drawing's, named alike in capitals. The same drawing gives the same bytes."""
    # Else each file would carry the moment it was made, and two of one drawing would differ.
    ezdxf.options.write_fixed_meta_data_for_testing = True
    document = _document()
    space = document.modelspace()
    for shape in drawing.shapes:
        _add(space, shape)
    out = StringIO()
    document.write(out)
    return document.encode(out.getvalue())


def _document() -> Document:
    document = ezdxf.new("R2010", setup=["linetypes"], units=MILLIMETRES)
    for layer in LAYERS:
        kind = "CENTER" if layer == "centre" else "CONTINUOUS"
        document.layers.add(layer.upper(), color=COLOURS[layer], linetype=kind)
    style = document.dimstyles.duplicate_entry("STANDARD", STYLE)
    style.dxf.dimtxt, style.dxf.dimasz, style.dxf.dimexe, style.dxf.dimexo = LETTERS, LETTERS / 2, LETTERS / 3, 0
    style.dxf.dimgap, style.dxf.dimtad = LETTERS / 3, 1
    return document


def _add(space: Modelspace, shape: Shape) -> None:
    told = {"layer": shape.layer.upper()}
    if isinstance(shape, Line):
        space.add_line(shape.start, shape.end, dxfattribs=told)
    elif isinstance(shape, Arc):
        space.add_arc(shape.centre, shape.radius, shape.start, shape.end, dxfattribs=told)
    elif isinstance(shape, Circle):
        space.add_circle(shape.centre, shape.radius, dxfattribs=told)
    elif isinstance(shape, Dimension):
        off = shape.off(LETTERS)
        line = space.add_aligned_dim(shape.start, shape.end, off, text=shape.said, dimstyle=STYLE, dxfattribs=told)
        if shape.beyond:
            line.set_location(shape.at(LETTERS))
        line.render()
    else:
        text = space.add_text(shape.said, height=LETTERS, rotation=shape.angle, dxfattribs=told)
        text.set_placement(shape.at, align=TextEntityAlignment.MIDDLE_CENTER)
