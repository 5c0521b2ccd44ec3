"""What must be true of a machine profile beyond the kind of each value: keys that need each other, limits."""

from collections.abc import Collection

from platelayer.errors import Fault
from platelayer.job.limits import LEAST_DECIMALS, MOST_DECIMALS, PATH_TOLERANCE_MM, SPIN_UP_S
from platelayer.job.materials import shipped_woods
from platelayer.job.near_names import fix_for
from platelayer.job.profile_models import DialectTable, FeedsTable, PlacesTable, ProfileFile, SpindleTable
from platelayer.tolerances import RAPID_CLEARANCE_MM
from platelayer.units import show_length, show_small
from platelayer.values.dialect import CommentStyle
from platelayer.values.tooling import BitChange, SpindleKind


def profile_faults(model: ProfileFile, *, woods: Collection[str] | None) -> list[Fault]:
    """All faults of a profile whose values are each of the right kind; where a key of two is at fault, the later.

    ``woods`` are those that feeds may be listed for; None where that is not asked.
    """
    return [
        *_missing(model),
        *_cornering_faults(model),
        *_spindle_faults(model.spindle),
        *_places_faults(model.places),
        *_dialect_faults(model.dialect, model),
        *_feeds_faults(model, woods),
    ]


def _missing(model: ProfileFile) -> list[Fault]:
    needed: dict[str, object] = {"title": model.title or None}
    for name in ("x", "y", "z"):
        axis = getattr(model.axis, name)
        needed |= {f"[axis.{name}] {key}": getattr(axis, key) for key in ("travel", "feed", "rapid", "acceleration")}
    needed |= {
        "[spindle] kind": model.spindle.kind,
        "[spindle] holder_diameter": model.spindle.holder_diameter,
        "[places] safe_height": model.places.safe_height,
        "[places] clear_height": model.places.clear_height,
        "[dialect] arcs": model.dialect.arcs,
        "[dialect] dwell_unit": model.dialect.dwell_unit,
        "[dialect] comments": model.dialect.comments,
    }
    fixes = {"[dialect] dwell_unit": "Look up how the controller reads the P of G4, then write s or ms."}
    empty = [where for where, value in needed.items() if value is None]
    return [Fault(where=where, problem="missing", fix=fixes.get(where, "")) for where in empty]


def _cornering_faults(model: ProfileFile) -> list[Fault]:
    if (model.cornering.deviation is None) != (model.cornering.speed is None):
        return []
    return [Fault(where="[cornering]", problem="needs either deviation or speed, as the controller plans its corners")]


def _spindle_faults(spindle: SpindleTable) -> list[Fault]:
    faults = []
    low, high = SPIN_UP_S
    if not low <= spindle.spin_up <= high:
        problem = f"must be {low:g} to {high:g} seconds"
        faults.append(Fault(where="[spindle] spin_up", found=f"{spindle.spin_up:g}", problem=problem))
    speeds = [mark.rpm for mark in spindle.dial]
    if spindle.kind is SpindleKind.DIAL:
        if len(speeds) < 2 or speeds != sorted(set(speeds)) or len({mark.mark for mark in spindle.dial}) < len(speeds):
            problem = "a hand dial needs two marks or more, each once, slowest first"
            fix = 'Write dial = [{ mark = "1", rpm = 9000 }, { mark = "2", rpm = 13000 }].'
            faults.append(Fault(where="[spindle] dial", problem=problem, fix=fix))
    elif speeds:
        faults.append(Fault(where="[spindle] dial", problem="only a spindle of kind dial has marks"))
    if spindle.kind is SpindleKind.SPEED_WORD and (spindle.slowest is None or spindle.fastest is None):
        faults.append(Fault(where="[spindle]", problem="a speed word needs slowest and fastest, in rev/min"))
    if spindle.kind is SpindleKind.SWITCH and spindle.fastest is None:
        faults.append(Fault(where="[spindle] fastest", problem="missing", fix="Write the one speed of the router."))
    if spindle.slowest is not None and spindle.fastest is not None and spindle.slowest > spindle.fastest:
        faults.append(Fault(where="[spindle] slowest", found=f"{spindle.slowest:g}", problem="more than fastest"))
    return faults


def _places_faults(places: PlacesTable) -> list[Fault]:
    faults = []
    clear, safe = places.clear_height, places.safe_height
    if clear is not None and clear <= RAPID_CLEARANCE_MM:
        limit = show_length(RAPID_CLEARANCE_MM)
        problem = f"the dry run refuses rapids lower than {limit} above the wood"
        faults.append(Fault(where="[places] clear_height", found=show_length(clear), problem=problem))
    if clear is not None and safe is not None and safe < clear:
        problem = f"lower than clear_height, {show_length(clear)}"
        faults.append(Fault(where="[places] safe_height", found=show_length(safe), problem=problem))
    return faults


def _dialect_faults(dialect: DialectTable, model: ProfileFile) -> list[Fault]:
    faults = []
    least = LEAST_DECIMALS[dialect.units]
    if dialect.decimals is not None and not least <= dialect.decimals <= MOST_DECIMALS:
        problem = f"must be {least} to {MOST_DECIMALS} for {dialect.units}; with fewer a controller may refuse arcs"
        faults.append(Fault(where="[dialect] decimals", found=str(dialect.decimals), problem=problem))
    if model.spindle.kind is SpindleKind.SPEED_WORD and dialect.spindle_speed_word is False:
        problem = "the spindle's speed is set by a word, so the controller must take one"
        faults.append(Fault(where="[dialect] spindle_speed_word", found="false", problem=problem))
    if model.bit_change.manner is BitChange.TOOL_WORD and not dialect.tool_change_word:
        problem = "bits are changed by a word, so the controller must take one"
        faults.append(Fault(where="[dialect] tool_change_word", found="false", problem=problem))
    return faults + _path_faults(dialect) + _told_faults(dialect)


def _path_faults(dialect: DialectTable) -> list[Fault]:
    where, tolerance = "[dialect] path_tolerance", dialect.path_tolerance
    if dialect.path_mode != "G64":
        problem = "only path_mode G64 has one; G61 runs every corner to the letter"
        return [] if tolerance is None else [Fault(where=where, found=show_length(tolerance), problem=problem)]
    if tolerance is None:
        problem = "missing: G64 alone lets the controller round corners off as far as it likes"
        fix = 'Write path_tolerance = "0.02 mm" where it reads P with G64, else path_mode = "G61".'
        return [Fault(where=where, problem=problem, fix=fix)]
    least, most = PATH_TOLERANCE_MM
    if least <= tolerance <= most:
        return []
    problem = (
        f"must be {show_small(least)}, what a controller's own chords stray from an arc, to {show_small(most)}: two "
        "walls of a joint that are off by more take up play that a hand feels"
    )
    return [Fault(where=where, found=show_small(tolerance), problem=problem)]


def _told_faults(dialect: DialectTable) -> list[Fault]:
    faults = []
    if dialect.messages and dialect.comments is CommentStyle.SEMICOLON:
        problem = "a message is a comment in brackets, and this controller takes its comments after a semicolon"
        faults.append(Fault(where="[dialect] messages", found="true", problem=problem, fix="Leave it out."))
    if dialect.arc_centre_word and dialect.arcs is False:
        problem = "says how an arc's I and J count, and this controller takes no arcs"
        faults.append(Fault(where="[dialect] arc_centre_word", found="true", problem=problem, fix="Leave it out."))
    return faults


def _feeds_faults(model: ProfileFile, woods: Collection[str] | None) -> list[Fault]:
    faults: list[Fault] = []
    seen: dict[tuple[object, ...], int] = {}
    for number, entry in enumerate(model.feeds, start=1):
        faults += _entry_faults(model, entry, f"[[feeds]] {number}", woods)
        key = (entry.material, entry.bit, entry.diameter, entry.flutes)
        if key in seen:
            problem = f"the same material and bit as entry {seen[key]}"
            faults.append(Fault(where=f"[[feeds]] {number}", problem=problem, fix="Keep one of them."))
        seen.setdefault(key, number)
    return faults


def _entry_faults(model: ProfileFile, entry: FeedsTable, where: str, woods: Collection[str] | None) -> list[Fault]:
    keys = ("spindle", "feed", "plunge", "stepdown", "stepover")
    faults = [Fault(where=f"{where} {key}", problem="missing") for key in keys if getattr(entry, key) is None]
    if not entry.material or (woods is not None and entry.material not in woods):
        problem = "no such material" if entry.material else "missing"
        fix = fix_for(entry.material, shipped_woods() if woods is None else woods)
        faults.append(Fault(where=f"{where} material", found=entry.material, problem=problem, fix=fix))
    if bool(entry.bit) == (entry.diameter is not None):
        faults.append(Fault(where=where, problem="needs either bit, by its id, or diameter"))
    if entry.stepover is not None and entry.stepover > 1:
        problem = "a stepover is a share of the bit's diameter, at most 1"
        faults.append(Fault(where=f"{where} stepover", found=f"{entry.stepover:g}", problem=problem))
    return faults + _speed_faults(model, entry, where)


def _speed_faults(model: ProfileFile, entry: FeedsTable, where: str) -> list[Fault]:
    faults = []
    fastest = min((axis.feed for axis in (model.axis.x, model.axis.y) if axis.feed is not None), default=None)
    limits = ((entry.feed, fastest, "feed", "slower of x and y"), (entry.plunge, model.axis.z.feed, "plunge", "z axis"))
    for value, limit, key, axis in limits:
        if value is not None and limit is not None and value > limit:
            problem = f"faster than this machine feeds; the limit is {limit:g} mm/min, of the {axis}"
            faults.append(Fault(where=f"{where} {key}", found=f"{value:g} mm/min", problem=problem))
    spindle, speed = model.spindle, entry.spindle
    if speed is None:
        return faults
    marks = [mark.rpm for mark in spindle.dial]
    if spindle.kind is SpindleKind.DIAL and marks and speed not in marks:
        problem = f"no mark of the dial; its marks stand for {', '.join(f'{mark:g}' for mark in marks)}"
        faults.append(Fault(where=f"{where} spindle", found=f"{speed:g}", problem=problem))
    elif (spindle.fastest is not None and speed > spindle.fastest) or speed < (
        spindle.slowest or (spindle.fastest or 0 if spindle.kind is SpindleKind.SWITCH else 0)
    ):
        problem = "a speed this spindle does not have"
        faults.append(Fault(where=f"{where} spindle", found=f"{speed:g}", problem=problem, fix="See [spindle]."))
    return faults
