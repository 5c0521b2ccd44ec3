"""Checks of the house itself: what no linter knows. See DEVELOPERS.md, "House checks"."""

import ast
import re
import subprocess
import sys
import tomllib
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from platelayer import tolerances

ROOT = Path(__file__).resolve().parents[1]
SOURCE = ROOT / "src" / "platelayer"
MODULES = sorted(SOURCE.rglob("*.py"))

UNIT_SUFFIXES = ("_mm", "_mm2", "_mm3", "_mm_min", "_mm_s2", "_mm_s", "_rpm", "_s", "_deg", "_rad", "_ratio", "_in")
UNIT_SUFFIXES_MORE = ("_cells", "_n", "_n_mm2", "_mpa", "_percent", "_celsius", "_kg")
NO_UNIT = {"x", "y", "z", "z_start", "z_end", "low_x", "low_y", "high_x", "high_y"}
# Numbers whose unit the value itself names: a finding's measured and limit stand beside its ``unit``.
NAMED_ELSEWHERE = {("findings.py", "measured"), ("findings.py", "limit"), ("motion.py", "value")}


@cache
def trees() -> tuple[tuple[Path, ast.Module], ...]:
    return tuple((path, ast.parse(path.read_text(encoding="utf-8"))) for path in MODULES)


@cache
def nodes() -> tuple[tuple[Path, tuple[ast.AST, ...]], ...]:
    """Everything in each module, however deep."""
    return tuple((path, tuple(ast.walk(tree))) for path, tree in trees())


def is_a_float(annotation: ast.expr) -> bool:
    match annotation:
        case ast.Name(id="float"):
            return True
        case ast.BinOp(left=ast.Name(id="float"), right=ast.Constant(value=None)):
            return True
    return False


def floats_without_unit() -> Iterator[str]:
    for path, found in nodes():
        for node in found:
            if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
                named = [(node.target.id, node.annotation)]
            elif isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                a = node.args
                named = [(p.arg, p.annotation) for p in (*a.posonlyargs, *a.args, *a.kwonlyargs) if p.annotation]
            else:
                continue
            for name, annotation in named:
                if not is_a_float(annotation):
                    continue
                plain = name.lower().lstrip("_")
                if plain in NO_UNIT or plain.endswith(UNIT_SUFFIXES + UNIT_SUFFIXES_MORE):
                    continue
                if (path.name, name) not in NAMED_ELSEWHERE:
                    yield f"{path.relative_to(ROOT)}:{node.lineno}: {name}: float has no unit in its name"


def small_literals(limit: float = 0.02) -> Iterator[str]:
    for path, found in nodes():
        if path.name == "tolerances.py":
            continue
        for node in found:
            if isinstance(node, ast.Constant) and isinstance(node.value, float) and 0 < abs(node.value) <= limit:
                yield f"{path.relative_to(ROOT)}:{node.lineno}: {node.value} looks like a tolerance; name it there"


def without_docstring(node: ast.FunctionDef) -> int:
    first = node.body[0]
    has_docstring = isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant)
    start = first.end_lineno if has_docstring else node.lineno
    assert start is not None and node.end_lineno is not None
    return node.end_lineno - start


def test_every_float_names_its_unit() -> None:
    assert list(floats_without_unit()) == []


def test_every_tolerance_stands_in_one_file() -> None:
    # Data tables of small physical constants may say so in one place: a module-level docstring with a Source.
    tables = {"moisture.py", "strength.py", "forces.py", "chip_loads.py"}
    assert [line for line in small_literals() if Path(line.split(":")[0]).name not in tables] == []


def test_modules_stay_small() -> None:
    long = [
        f"{path.relative_to(ROOT)}: {n}" for path in MODULES if (n := len(path.read_text("utf-8").splitlines())) > 400
    ]
    assert long == []


def test_functions_stay_short() -> None:
    long = [
        f"{path.relative_to(ROOT)}:{node.lineno} {node.name}: {lines}"
        for path, found in nodes()
        for node in found
        if isinstance(node, ast.FunctionDef) and (lines := without_docstring(node)) > 60
    ]
    assert long == []


def public_functions(tree: ast.Module) -> Iterator[ast.FunctionDef]:
    for node in tree.body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            yield node
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            yield from (one for one in node.body if isinstance(one, ast.FunctionDef) and not one.name.startswith("_"))


def test_public_functions_say_what_is_true_and_what_they_raise() -> None:
    missing = []
    for path, tree in trees():
        for node in public_functions(tree):
            text = ast.get_docstring(node) or ""
            raises = any(isinstance(one, ast.Raise) and one.exc is not None for one in ast.walk(node))
            if not text:
                missing.append(f"{path.relative_to(ROOT)}:{node.lineno} {node.name}: no docstring")
            elif raises and "Raises:" not in text and path.name != "cli.py":
                missing.append(f"{path.relative_to(ROOT)}:{node.lineno} {node.name}: raises and does not say so")
    assert missing == []


def test_inches_are_known_in_one_file() -> None:
    said = [
        f"{path.relative_to(ROOT)}:{node.lineno}"
        for path, found in nodes()
        if path.name != "units.py"
        for node in found
        if isinstance(node, ast.Constant) and node.value in (25.4, 2.54, 254.0)
    ]
    assert said == []


@pytest.mark.parametrize("path", sorted((ROOT / "tests" / "outside").rglob("test_*.py")), ids=lambda path: path.name)
def test_outside_checks_name_their_source(path: Path) -> None:
    assert "SOURCE:" in path.read_text(encoding="utf-8")


def test_files_are_opened_only_at_the_doors() -> None:
    doors = {"files.py", "load.py", "profiles.py", "cli.py"}
    opened = []
    for path, found in nodes():
        if path.name in doors:
            continue
        for call in (node for node in found if isinstance(node, ast.Call)):
            match call.func:
                case ast.Name(id="open" as name) | ast.Attribute(attr="write_text" | "write_bytes" as name):
                    opened.append(f"{path.relative_to(ROOT)}:{call.lineno}: {name}")
    assert opened == []


def test_rooms_meet_only_in_values() -> None:
    command = [str(Path(sys.executable).with_name("lint-imports"))]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, env={"PYTHONPATH": "src"}, check=False)
    assert done.returncode == 0, done.stdout


def imported(found: tuple[ast.AST, ...]) -> Iterator[str]:
    """Dotted names of all that a module imports, within functions too; ``from a import b`` may be a.b or a's b."""
    for node in found:
        if isinstance(node, ast.Import):
            yield from (one.name for one in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module
            yield from (f"{node.module}.{one.name}" for one in node.names)


def module_name(path: Path) -> str:
    return ".".join(path.relative_to(ROOT / "src").with_suffix("").parts).removesuffix(".__init__")


def reached_from(*roots: str) -> set[str]:
    """Modules that are imported when these are; a module's packages come with it."""
    imports = {module_name(path): set(imported(found)) for path, found in nodes()}
    reached: set[str] = set()
    ahead = list(roots)
    while ahead:
        name = ahead.pop()
        if name in imports and name not in reached:
            reached.add(name)
            ahead += [*imports[name], name.rpartition(".")[0]]
    return reached


def test_every_module_is_reached_by_a_command() -> None:
    known = {module_name(path) for path in MODULES}
    assert known - reached_from("platelayer.__main__", "platelayer.cli") == set()


def names_in(node: ast.AST) -> Iterator[str]:
    for one in ast.walk(node):
        match one:
            case ast.Name(id=name) | ast.Attribute(attr=name) | ast.alias(name=name):
                yield name
            case ast.Constant(value=str(text)) if text.isidentifier():
                yield text  # an annotation in quotes


def test_what_is_defined_is_used() -> None:
    """By name, outside the definition itself; what tests alone use belongs to tests/referees."""
    waiting = {
        "uncut_plan",  # drawings of a job whose cuts are refused
    }
    used: Counter[str] = Counter()
    defined: dict[str, list[tuple[str, int]]] = {}
    for path, tree in trees():
        for node in tree.body:
            if isinstance(node, ast.ImportFrom | ast.Import):
                continue  # an import is no use
            here = Counter(names_in(node))
            used += here
            if isinstance(node, ast.FunctionDef | ast.ClassDef) and not any(
                "command" in ast.unparse(one) or "group" in ast.unparse(one) for one in node.decorator_list
            ):
                defined.setdefault(node.name, []).append((f"{path.relative_to(ROOT)}:{node.lineno}", here[node.name]))
    unused = [
        f"{where}: {name} is used nowhere"
        for name, places in defined.items()
        for where, _ in places
        if used[name] == sum(own for _, own in places) and name not in waiting
    ]
    assert unused == []


def test_every_dependency_is_imported() -> None:
    waiting: set[str] = set()
    listed = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["dependencies"]
    names = {re.match(r"[\w-]+", one).group().replace("-", "_") for one in listed}
    imported = set()
    for _, found in nodes():
        for node in found:
            if isinstance(node, ast.ImportFrom) and node.module:
                imported.add(node.module.split(".")[0])
            elif isinstance(node, ast.Import):
                imported |= {one.name.split(".")[0] for one in node.names}
    assert names - imported == waiting


def test_tolerances_keep_their_order() -> None:
    t = tolerances
    assert t.COINCIDENT_MM < t.PROGRAM_STEP_MM
    assert t.FLATTEN_CHORD_MM + t.PROGRAM_STEP_MM < t.GOUGE_MM < t.LEFTOVER_MM < t.PLAY_MM
    assert t.PROGRAM_STEP_MM < t.ARC_RADII_MM


def test_top_level_holds_what_the_design_card_names() -> None:
    listed = subprocess.run(
        ["git", "ls-tree", "--name-only", "HEAD"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    if listed.returncode:
        pytest.skip("not a git checkout")
    allowed = {"pyproject.toml", "README.md", "DEVELOPERS.md", "src", "tests", "machine_profiles", "examples"}
    assert {name for name in listed.stdout.split() if not name.startswith(".")} <= allowed
