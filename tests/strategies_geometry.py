"""Strategies for geometry: contours, poses, joints, tracks and orders that can be made, near-ties drawn on purpose."""

import math

from hypothesis import strategies as st

from platelayer.tolerances import LAND_MM
from platelayer.values.pieces import CornerRadii, EndKind, JointSizes, TrackSizes
from platelayer.values.shapes import Arc, Contour, Line, Pose
from platelayer.values.tooling import PieceOrder

BIT_RADII_MM = (0.79375, 1.5, 1.5875, 1.6, 3.0, 3.175)


def lengths(low: float, high: float) -> st.SearchStrategy[float]:
    """Lengths in mm, plain floats and sixty-fourths of an inch."""
    step = 25.4 / 64
    return st.one_of(
        st.floats(low, high, allow_nan=False, width=64),
        st.integers(math.ceil(low / step), math.floor(high / step)).map(lambda count: count * step),
    )


headings = st.one_of(
    st.sampled_from([0.0, math.pi / 2, math.pi, -math.pi / 2, math.pi / 4]), st.floats(-math.pi, math.pi)
)
poses = st.builds(Pose, st.floats(-1000, 1000), st.floats(-1000, 1000), headings)
points = st.tuples(st.floats(-300, 300), st.floats(-300, 300))


@st.composite
def arcs(draw: st.DrawFn) -> Arc:
    """Any arc from a slight bend to a nearly full circle, either hand."""
    cx, cy = draw(points)
    radius, first = draw(st.floats(0.5, 300)), draw(st.floats(-math.pi, math.pi))
    sweep, is_ccw = draw(st.floats(0.05, 6.2)), draw(st.booleans())
    last = first + (sweep if is_ccw else -sweep)
    start = (cx + radius * math.cos(first), cy + radius * math.sin(first))
    return Arc(start, (cx + radius * math.cos(last), cy + radius * math.sin(last)), (cx, cy), is_ccw)


@st.composite
def closed_contours(draw: st.DrawFn) -> Contour:
    """Simple, counter-clockwise, of lines and arcs that bulge out or in, corners on a circle."""
    count, radius = draw(st.integers(4, 9)), draw(st.floats(2, 200))
    (cx, cy), step = draw(points), math.tau / draw(st.just(count))
    corners = [(cx + radius * math.cos(k * step), cy + radius * math.sin(k * step)) for k in range(count)]
    segments = []
    for k, start in enumerate(corners):
        end = corners[(k + 1) % count]
        bulge = draw(st.sampled_from((0.0, 0.0, 1.0, 0.6, 0.2, -0.2, -0.9)))
        segments.append(bent(start, end, bulge * step))
    return Contour(tuple(segments), is_closed=True)


def bent(start, end, sweep_rad):
    """The arc between two points that turns through the angle, counter-clockwise when positive; a line for none."""
    if sweep_rad == 0:
        return Line(start, end)
    half = math.dist(start, end) / 2
    back = half / math.tan(abs(sweep_rad) / 2)
    side = 1 if sweep_rad > 0 else -1
    ux, uy = (end[0] - start[0]) / (2 * half), (end[1] - start[1]) / (2 * half)
    centre = ((start[0] + end[0]) / 2 - side * uy * back, (start[1] + end[1]) / 2 + side * ux * back)
    return Arc(start, end, centre, sweep_rad > 0)


@st.composite
def joints(draw: st.DrawFn) -> JointSizes:
    """Joints that can be made; mouth as wide as the neck and hole as wide as the head are drawn on purpose."""
    head = draw(lengths(8, 14))
    neck = draw(st.floats(0.35, 0.75)) * head
    mouth = neck + draw(st.sampled_from((0.0, 0.001, 0.3, 0.6, 0.9))) * (0.97 * head - neck)
    return JointSizes(
        neck_width_mm=neck,
        head_diameter_mm=head,
        head_setback_mm=draw(lengths(6, 12)),
        mouth_width_mm=mouth,
        hole_diameter_mm=head + draw(st.sampled_from((0.0, 0.001, 0.8, 1.5875, 2.5))),
        hole_setback_mm=draw(lengths(6, 12)),
    )


@st.composite
def tracks(draw: st.DrawFn, joint: JointSizes) -> TrackSizes:
    """Tracks wide enough for the joint, grooves with and without flare; lands just at their limit are drawn too."""
    extra = draw(st.sampled_from((0.0, 0.4, 1.0)))
    outer = LAND_MM + extra + draw(st.sampled_from((0.0, 0.001, 2.5)))
    inner = outer + draw(st.floats(4, 8))
    thickness = draw(st.floats(9, 20))
    half_joint = max(joint.hole_diameter_mm, joint.mouth_width_mm) / 2
    return TrackSizes(
        width_mm=2 * (inner + half_joint + extra + LAND_MM + draw(st.sampled_from((0.001, 1.0, 5.0)))),
        thickness_mm=thickness,
        groove_outer_mm=outer,
        groove_inner_mm=inner,
        groove_depth_mm=draw(st.floats(0.1, 0.42)) * thickness,
        flare_length_mm=draw(st.sampled_from((0.0, 4.0, 9.0))),
        flare_extra_mm=extra,
    )


@st.composite
def corner_radii(draw: st.DrawFn, joint: JointSizes) -> CornerRadii:
    """Sharp corners, or both cures for one bit; radii at and about the joint's gap included."""
    gap = (joint.mouth_width_mm - joint.neck_width_mm) / 2
    radius = draw(st.sampled_from((0.0, 0.79375, 1.5875, 1.6, gap, gap + 0.001)))
    return CornerRadii(relief_radius_mm=radius, ease_radius_mm=radius and radius + 0.1)


curve_sizes = st.fixed_dictionaries({
    "radius": lengths(120, 400),
    "angle": st.sampled_from((45.0, 30.0, 90.0, 61.3, 180.0, 240.0)).map(math.radians),
    "hand": st.sampled_from(("left", "right")),
})
ends = st.tuples(st.sampled_from(EndKind), st.sampled_from(EndKind))


@st.composite
def orders(draw: st.DrawFn) -> PieceOrder:
    """Straights of 60 mm to a metre and curves of 120 to 400 mm, any ends, grooves on no, one or both faces."""
    is_straight = draw(st.booleans())
    return PieceOrder(
        name="p",
        kind="straight" if is_straight else "curve",
        count=1,
        sizes={"length": draw(lengths(60, 1000))} if is_straight else draw(curve_sizes),
        ends=draw(ends),
        grooves_top=draw(st.booleans()),
        grooves_bottom=draw(st.booleans()),
    )


@st.composite
def makings(draw: st.DrawFn) -> tuple[PieceOrder, TrackSizes, JointSizes, CornerRadii]:
    """All that a piece is made from."""
    joint = draw(joints())
    return draw(orders()), draw(tracks(joint)), joint, draw(corner_radii(joint))
