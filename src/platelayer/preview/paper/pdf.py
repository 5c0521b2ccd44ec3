"""A drawing put on a page of a PDF, in the PDF's own lines, curves and fonts.

Arcs are cubic curves, off by less than a hundred thousandth of the radius. Letters that the PDF's fonts do not have are
replaced by a question mark.
"""

import math
from collections.abc import Iterable

from platelayer.preview.paper.measures import POINTS_PER_MM, Canvas, Flowable, Points
from platelayer.preview.pictures.drawing import Anchor, Drawing, Group, Ink, Part, Shape, Words
from platelayer.values.shapes import Contour, Line, Point, Segment

_HALO, _FILLED = 1, 0
"""How letters are painted: their rim alone, or filled. Source: ISO 32000-1, table 106, text rendering modes."""
_EVEN_ODD = 0
"""reportlab's name for filling what an odd number of contours goes round."""


def flowable(drawing: Drawing, *, width: Points, height: Points) -> Flowable:
    """The drawing as something reportlab sets among words, as large as the room allows but never over full size."""
    from reportlab.platypus import Flowable as Base

    scale = min(width / drawing.width_mm, height / drawing.height_mm, POINTS_PER_MM)

    class Placed(Base):  # type: ignore[misc]
        def __init__(self) -> None:
            super().__init__()
            self.width, self.height = drawing.width_mm * scale, drawing.height_mm * scale

        def draw(self) -> None:
            self.canv.saveState()
            self.canv.scale(scale, scale)
            self.canv.translate(-drawing.low[0], -drawing.low[1])
            draw(self.canv, drawing.parts)
            self.canv.restoreState()

    return Placed()


def draw(canvas: Canvas, parts: Iterable[Part]) -> None:
    """Draws the parts where the canvas stands, one of its units a millimetre."""
    for part in parts:
        match part:
            case Shape(contours, ink):
                _shape(canvas, contours, ink)
            case Words():
                _words(canvas, part)
            case Group():
                _group(canvas, part)


def _group(canvas: Canvas, group: Group) -> None:
    canvas.saveState()
    _move(canvas, group.at, group.turn_rad)
    canvas.scale(group.scale_ratio, group.scale_ratio)
    if group.clip is not None:
        canvas.clipPath(_path(canvas, (group.clip,)), stroke=0, fill=0)
    draw(canvas, group.parts)
    canvas.restoreState()


def _move(canvas: Canvas, at: Point, turn_rad: float) -> None:
    canvas.translate(*at)
    if turn_rad:
        canvas.rotate(math.degrees(turn_rad))


def _shape(canvas: Canvas, contours: tuple[Contour, ...], ink: Ink) -> None:
    if not contours:
        return
    canvas.saveState()
    if ink.fill:
        canvas.setFillColor(ink.fill)
        canvas.setFillAlpha(ink.fill_ratio)
    if ink.stroke:
        canvas.setStrokeColor(ink.stroke)
        canvas.setStrokeAlpha(ink.stroke_ratio)
        canvas.setLineWidth(ink.width_mm)
        canvas.setLineCap(int(ink.is_round))
        canvas.setLineJoin(int(ink.is_round))
        canvas.setDash(list(ink.dash_mm))
    path = _path(canvas, contours)
    canvas.drawPath(path, stroke=int(bool(ink.stroke)), fill=int(bool(ink.fill)), fillMode=_EVEN_ODD)
    canvas.restoreState()


def _path(canvas: Canvas, contours: Iterable[Contour]) -> Canvas:
    path = canvas.beginPath()
    for contour in contours:
        path.moveTo(*contour.start)
        for segment in contour.segments:
            for curve in curves(segment):
                if len(curve) == 1:
                    path.lineTo(*curve[0])
                else:
                    path.curveTo(*curve[0], *curve[1], *curve[2])
        if contour.is_closed:
            path.close()
    return path


def _words(canvas: Canvas, words: Words) -> None:
    text = words.text.encode("cp1252", errors="replace").decode("cp1252")
    family = ("Times-Roman", "Times-Bold") if words.is_serif else ("Helvetica", "Helvetica-Bold")
    put = {
        Anchor.START: canvas.drawString,
        Anchor.MIDDLE: canvas.drawCentredString,
        Anchor.END: canvas.drawRightString,
    }[words.anchor]
    canvas.saveState()
    _move(canvas, words.at, words.turn_rad)
    canvas.setFont(family[words.is_bold], words.size_mm)
    if words.halo:
        canvas.setStrokeColor(words.halo)
        canvas.setLineWidth(words.halo_mm)
        put(0, 0, text, mode=_HALO)
    canvas.setFillColor(words.colour)
    put(0, 0, text, mode=_FILLED)
    canvas.restoreState()


def curves(segment: Segment) -> Iterable[tuple[Point, ...]]:
    """A segment as straight ends, ``(end,)``, or cubic curves, ``(control, control, end)``, of an eighth turn each.

    Source:
        derived here: control points lie at 4/3 tan(sweep / 4) radii along the tangents; exact at ends and middle.
    """
    if isinstance(segment, Line):
        yield (segment.end,)
        return
    count = max(1, math.ceil(segment.sweep_rad / (math.pi / 4)))
    step = segment.sweep_rad / count * (1 if segment.is_ccw else -1)
    reach = 4 / 3 * math.tan(step / 4) * segment.radius_mm
    (cx, cy), radius = segment.centre, segment.radius_mm
    turn = math.atan2(segment.start[1] - cy, segment.start[0] - cx)
    for index in range(count):
        a, b = turn + index * step, turn + (index + 1) * step
        start = (cx + radius * math.cos(a), cy + radius * math.sin(a))
        end = segment.end if index == count - 1 else (cx + radius * math.cos(b), cy + radius * math.sin(b))
        yield (
            (start[0] - reach * math.sin(a), start[1] + reach * math.cos(a)),
            (end[0] + reach * math.sin(b), end[1] - reach * math.cos(b)),
            end,
        )
