"""Every tolerance of the program, with unit, reason, and who may exceed whom.

Order that must hold (a test asserts it): coincident < program step; chord + step < gouge < leftover < play.
"""

from typing import Final

COINCIDENT_MM: Final = 1e-6
"""Two points this close are one. Far above float noise at a metre (1e-13), far below the last digit written."""

PROGRAM_STEP_MM: Final = 1e-4
"""Last digit written in a millimetre program: four decimals keep every arc's two radii equal (see ARC_RADII_MM)."""

FLATTEN_CHORD_MM: Final = 5e-4
"""Arc to polygon, largest distance between chord and arc; a tenth of what the dry run calls a gouge."""

GOUGE_MM: Final = 5e-3
"""Dry run's verdict: deeper than this into the design is a gouge. Below what a caliper shows (0.01 mm)."""

LEFTOVER_MM: Final = 0.02
"""Dry run's verdict: wood standing this far proud of the design, outside the listed corners, is wood left."""

PLAY_MM: Final = 0.1
"""What a hand feels in a sliding joint; a joint with less total play than this will jam in use."""

SEAT_MM: Final = 0.01
"""Faces of a mated joint count as closed below this opening."""

ARC_RADII_MM: Final = 0.002
"""Start and end radius of an arc may differ by this in a millimetre program. Source: NISTIR 6556, 3.5.3.2."""

ARC_RADII_IN: Final = 0.0002
"""The same in an inch program. Source: NISTIR 6556, 3.5.3.2."""

LAND_MM: Final = 1.5
"""Least wood between relief or ease and the flared groove, and between groove and edge; thinner chips off maple."""

RAPID_CLEARANCE_MM: Final = 0.5
"""A rapid with any point lower than this above the wood is refused, pure lifts excepted."""

OPEN_MM: Final = 0.1
"""Down in the wood a bit goes faster than it cuts only where it is clear by so much all round: half an allowance."""

DEPTH_MM: Final = 0.005
"""Depths of grooves and passes are held to this; the same as a gouge, since it is one, downwards."""

ANGLE_RAD: Final = 1e-9
"""Two headings this close are one; at a metre it moves a point by a nanometre."""

SLUG_WIDTH_MM: Final = 0.5
"""A freed island narrower than this everywhere is dust, not a projectile."""

TAPE_HOLDS_MM2: Final = 1500.0
"""Waste so large stays on the tape or vacuum under it while the bit passes: three times PUSH_N at 0.02 N/mm2, what
tape holds on dusty wood; a guess, no source. A clamp finds room on it too. Smaller scraps fly."""

ARC_CHORD_MM: Final = 0.002
"""How far a controller's chords may stray from an arc it runs; the corner between two chords limits the arc's speed.
From memory: the usual factory setting of small open controllers."""
THIN_SLAB_MM: Final = 1e-9
"""Slabs between two polygon vertices thinner than this are float noise: a thousandth of COINCIDENT_MM."""

KINK_RAD: Final = 2e-5
"""A joint's kink angle is found to this: 0.001 degrees, a twentieth of what is promised."""

TOUCH_MM: Final = 1e-9
"""Two curves with a gap no wider than this touch; wide enough for float noise, narrow enough to move no crossing."""

KEEP_MM: Final = 1e-7
"""A path this much too near the design still counts as at the right distance; a tenth of COINCIDENT_MM."""

FINISH_ALLOWANCE_MM: Final = 0.2
"""Wood that roughing leaves on a wall for the finish pass; common practice, no source."""

PEG_CLEAR_MM: Final = 0.3
"""The outlines bit stays this far clear of a peg already cut: more than a finish allowance, less than a skin."""

GROOVE_RUN_OUT_MM: Final = 0.5
"""The bit's centre goes at least this far past an end face, so that a groove has its full width at the face."""

BEND_MM: Final = 0.02
"""Estimated bending of the bit up to which a finish pass goes full depth; what counts as wood left."""

EASE_EXTRA_MM: Final = 0.1
"""A chosen ease is the joints bit's radius and this, so that the bit runs round it and does not stop in it."""

LEAST_TAB_MM: Final = 1.5
"""Least height of a tab besides the thickness scatter; common practice, no source."""

LEAST_SKIN_MM: Final = 0.4
"""Least thickness of a skin besides the thickness scatter; common practice, no source."""

SHORT_PIECE_MM: Final = 100.0
"""A piece shorter than this gets SHORT_PIECE_TABS at least, or a skin, and a caution; common practice, no source."""

SHORT_PIECE_TABS: Final = 4
"""Tabs that a short piece gets at the least; common practice, no source."""

SLIVER_MM: Final = 0.01
"""Uncut wood narrower than this is flattening noise when coverage is worked out; half of what counts as left."""

WISH_MET_MM: Final = 0.002
"""A play within this of the one asked for is met; a fiftieth of what a hand feels."""

CALIPER_MM: Final = 0.01
"""Last digit of a common caliper: no reading is taken to scatter less."""

OUTLIER_MM: Final = 0.08
"""A reading this far from its fellows is asked about: four times the scatter of a careful hand."""

SCALE_PRIOR_RATIO: Final = 0.005
"""Axis scale of a hobby router is taken to lie within half a percent until a reading says more."""

MOST_SCALE_RATIO: Final = 0.02
"""An axis that travels further off than this has wrong settings, or was misread. Common practice, no source."""

BIAS_PRIOR_MM: Final = 0.05
"""Bias of heads and lips is taken to lie this near to what slack alone does, until plays read say more."""

BIAS_MODEL_RATIO: Final = 0.1
"""A play read this far from the one aimed at says a tenth less sure what happens there: two biases are only a model."""
TAB_MM: Final = 0.1
"""A tab may be narrower than said by this; a saw kerf is ten times as wide, so it holds all the same."""

BESIDE_MM: Final = 1.0
"""A bit whose edge passes a free piece at this distance neither touches nor pulls it; common practice, no source."""

LEAST_STANDING_MM: Final = 3.0
"""Waste thinner than this is shaken loose by a bit that passes it, and is never left; common practice, no source."""

STANDING_RATIO: Final = 0.25
"""Nor is waste left that is thinner than this share of its height; common practice, no source."""

SLUG_GRAIN_MM: Final = 0.01
"""Islands are drawn to this, and two places whose moves agree to it have the same ones; a slug is 50 times as wide."""
MITRE_MM: Final = 1e-3
"""A path may cut a corner arc short by a mitre this much further from the corner: the micrometre paths are exact to."""

FLOOR_STEP_MM: Final = 0.3
"""Floors of grooves that differ in height by more than this jolt a wheel where two pieces meet; common practice, no
source."""

WHEEL_LACK_MM: Final = 0.3
"""A groove narrower than its wheel by more than this is warned of: less goes into the slack of axles in their holes."""

SEAM_MM: Final = 1e-3
"""Areas meant to join overlap by this, so that float noise leaves no hair between; a flare widens by 0.1 µm on it."""

SOLVED_RATIO: Final = 1e-12
"""scipy's searches for sizes stop when they gain less than this: far below WISH_MET_MM, above float noise."""

DIFFERENCE_RATIO: Final = 1e-6
"""Step of scipy's difference quotients: plays in closed form are smooth to nine digits, but have kinks further off."""

TAPE_MM: Final = 0.5
"""Standard uncertainty of a length taken by tape between two marks. Common practice, no source."""

BOUGHT_SPREAD_MM: Final = 0.3
"""Standard deviation of the length of bought pieces of one kind. Common practice, no source: measure your own."""

MACHINE_SCALE_RATIO: Final = 0.001
"""How far a router that nobody measured may travel off, of the length: 4 mm over 13 ft. Common practice, no source."""

USUAL_LEAST_RADIUS_MM: Final = 100.0
"""Waggons bind on tighter curves. Source: D. Barber, Observations on Track for Toy Trains, as common practice."""

FLOOR_OVERLAP_MM: Final = 1.0
"""Pieces on a floor that overlap by less than this, everywhere, touch: joints give that much."""

FLOOR_CHORD_MM: Final = 0.05
"""Arc to polygon where pieces on a floor are held against each other; a twentieth of what counts as overlap."""

MEETS_MM: Final = 0.05
"""Ends of a layout this near need no play: half of what a hand feels."""

MEETS_RAD: Final = 5e-4
"""Ends of a layout this near in heading need no play: 0.03 degrees, a micrometre or two at each joint."""

STRAIGHT_ON_RAD: Final = 0.01
"""A path that bends by less than this goes on straight: half a degree makes a thin chip two hundredths thicker."""

CLOSED_MM: Final = 1e-7
"""A chain of joints is closed when its end is this near: far above float noise at a room's width."""

REGION_MM: Final = 1e-6
"""A joint's play is inside its region when it is out by less: free play is exact to this."""

STEPS_GAIN_RATIO: Final = 1e-6
"""Linearised programs stop when the share of play falls by less."""

ROUGH_GAIN_RATIO: Final = 2e-3
"""The same while many layouts are weighed against each other: a tenth of what their shares are rough by."""

LOOSE_N_MM: Final = 1e-6
"""What nothing holds counts as held so softly, N/mm: it gives way by kilometres, and sums of springs can be solved."""

STRAY_DOUBT_MM: Final = 0.03
"""A card that lay otherwise is believed against the simulation of slack where the two differ by more: three readings of
a play with a caliper are no surer."""
