"""No circle of modules; nothing required is unused, nothing used is undeclared; the version stands in one
place."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from graphlib import CycleError, TopologicalSorter
from importlib.metadata import version
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
HOUSE, TESTS = sorted((ROOT / "hullview").rglob("*.py")), sorted((ROOT / "tests").rglob("*.py"))
MODULES = {".".join(p.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): p for p in HOUSE}
CALLED = {"PIL": "pillow", "vtkmodules": "vtk", "axe_playwright_python": "axe-playwright-python"}
"""Packages whose module has another name."""
NOT_IMPORTED = {
    "pytest-timeout": "a plugin of pytest",
    "pytest-xdist": "a plugin of pytest",
    "rtree": "trimesh asks for it when it looks for the nearest face",
    "svgpathtools": "waits for the tests of patterns",
    "pypdfium2": "waits for the tests of patterns",
}
"""Declared and named in no import, with the reason."""
EXTRAS = ("fast",)
"""What the program can do with more packages; the tests ask for all of them."""
BY_HAND = {"atheris", "cosmic_ray"}
"""What long runs by hand need, each named where it is used and installed by who runs them."""


def imports_of(path):
    """(module, name or '') of every import in a file that is not for type checking alone."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    typing = {
        id(inner)
        for node in ast.walk(tree)
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test)
        for inner in ast.walk(node)
    }
    for node in ast.walk(tree):
        if id(node) in typing:
            continue
        if isinstance(node, ast.Import):
            yield from ((alias.name, "") for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.level == 0:
            yield from ((node.module or "", alias.name) for alias in node.names)
        elif isinstance(node, ast.Call) and ast.unparse(node.func).endswith("importorskip"):
            yield str(ast.literal_eval(node.args[0])), ""


def test_modules_stand_in_no_circle():
    graph = {}
    for name, path in MODULES.items():
        found = {m if f"{m}.{n}" not in MODULES else f"{m}.{n}" for m, n in imports_of(path)}
        graph[name] = {m for m in found if m in MODULES and m != name}
    try:
        list(TopologicalSorter(graph).static_order())
    except CycleError as circle:
        pytest.fail(" -> ".join(circle.args[1]))


def packages(paths):
    """The packages from outside that these files import, by the name they are installed under."""
    own = {"hullview", "benchmarks", *(p.stem for p in TESTS)}
    tops = {module.partition(".")[0] for path in paths for module, _ in imports_of(path)}
    return {CALLED.get(top, top) for top in tops - set(sys.stdlib_module_names) - own - {""}}


def declared(*extras):
    lines = [*PROJECT["dependencies"]] if not extras else []
    lines += [
        line
        for extra in extras
        for line in PROJECT["optional-dependencies"][extra]
        if not line.startswith("hullview[")  # our own extras, asked for by name
    ]
    return {re.match(r"[\w-]+", line)[0].lower() for line in lines}  # type: ignore[index]


def test_what_the_program_uses_is_required_and_nothing_else():
    used = packages(HOUSE)
    assert used - declared() - declared(*EXTRAS) == set(), "used and not declared in pyproject.toml"
    assert declared() - used == set(), "required and used nowhere"
    assert declared(*EXTRAS) - used == set(), "an extra that is used nowhere"
    assert declared() & declared(*EXTRAS) == set(), "required, so it is no extra"


def test_what_the_tests_use_is_declared_and_nothing_else():
    used = packages(TESTS)
    known = declared() | declared("test") | declared(*EXTRAS)
    assert used - known - BY_HAND == set(), "used by the tests and not declared"
    assert declared("test") - used == set(NOT_IMPORTED) - used, "declared for the tests and used nowhere"


def test_the_tests_ask_for_every_extra():
    assert f"hullview[{','.join(EXTRAS)}]" in PROJECT["optional-dependencies"]["test"]


def test_the_version_stands_in_one_place():
    import hullview

    assert hullview.__version__ == version("hullview")
    for path in HOUSE:
        assert PROJECT["version"] not in path.read_text(encoding="utf-8"), (
            f"{path}: the version belongs in pyproject.toml"
        )
