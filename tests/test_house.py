"""The house rules that a machine can see: which way imports go, what is loaded when, how large a room may
grow."""

from __future__ import annotations

import ast
import io
import subprocess
import sys
import tokenize
from pathlib import Path

import pytest

HOUSE = Path(__file__).parent.parent / "hullview"
ORDER = (
    "arrays",
    "errors",
    "kinds",
    "sentence",
    "materials",
    "boat",
    "shape",
    "planking",
    "weight",
    "forms",
    "afloat",
    "answer",
    "study",
    "many",
    "tell",
    "show",
    "front",
    "commands",
)
FILES = sorted(HOUSE.rglob("*.py"))

ONLY_IN = {
    "pyvista": ("show/lettering.py", "show/scene.py", "show/window.py"),
    "vtk": ("show/lettering.py", "show/scene.py", "show/window.py"),
    "vtkmodules": ("show/lettering.py", "show/scene.py", "show/window.py"),
    "matplotlib": ("show/drawings.py",),
    "ezdxf": ("show/dxf.py",),
    "reportlab": ("show/pdf.py",),
    "rectpack": ("forms/nest.py",),
    "trimesh": ("boat/meshfile.py", "show/glb.py"),
    "click": ("commands/",),
    "pandas": ("show/record.py",),
    "rich": ("show/text.py",),
    "tomlkit": ("boat/writer.py",),
    "numba": ("shape/compiled.py",),
    "dask": ("many/cluster.py",),
    "distributed": ("many/cluster.py",),
    "pyarrow": ("show/parquet.py",),
}
"""Packages that may be imported in these files or folders alone."""

LOADED_WHEN_USED = (
    "pandas",
    "matplotlib",
    "trimesh",
    "pyvista",
    "plotly",
    "rich",
    "jinja2",
    "ezdxf",
    "reportlab",
    "rectpack",
    "shapely",
    "vtk",
    "vtkmodules",
    "tomlkit",
    "numba",
    "dask",
    "distributed",
    "pyarrow",
)
"""Never at the top of a file: a text command must start fast."""

CODE_LINES, FUNCTION_LINES = 350, 80


def imports_of(path):
    """(line, module, at top level, for type checking only) of every import in a file, those inside
    functions too."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    typing_only = {
        id(inner)
        for node in ast.walk(tree)
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test)
        for inner in ast.walk(node)
    }
    top = {id(node) for node in tree.body}
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}:{node.lineno}: write imports in full"
            names = [node.module or ""]
            if node.module == "hullview":
                names = [f"hullview.{alias.name}" for alias in node.names]
        else:
            continue
        for name in names:
            yield node.lineno, name, id(node) in top, id(node) in typing_only


def room(name):
    """The room of a module given by its dotted name or its place in the folder."""
    return name.split(".")[0].split("/")[0]


def place(path):
    return path.relative_to(HOUSE).as_posix()


@pytest.mark.parametrize("path", FILES, ids=place)
def test_imports_only_go_down(path):
    own = room(place(path).removesuffix(".py"))
    if own in ("__init__", "__main__"):
        pytest.skip("the root names the rooms")
    for line, name, _, typing_only in imports_of(path):
        if room(name) != "hullview" or typing_only:
            continue
        assert name != "hullview", f"{place(path)}:{line}: nobody imports from the package root"
        other = room(name.removeprefix("hullview."))
        assert other in ORDER, f"{place(path)}:{line}: {name} is in no room"
        assert ORDER.index(other) <= ORDER.index(own), (
            f"{place(path)}:{line}: {own} imports {name}, which lies above it"
        )


@pytest.mark.parametrize("path", FILES, ids=place)
def test_heavy_packages_stay_in_their_files_and_load_when_used(path):
    for line, name, top, typing_only in imports_of(path):
        package = room(name)
        if typing_only:
            continue
        if package in ONLY_IN:
            assert place(path).startswith(ONLY_IN[package]), (
                f"{place(path)}:{line}: {package} belongs in {ONLY_IN[package]}"
            )
        assert not (top and package in LOADED_WHEN_USED), (
            f"{place(path)}:{line}: load {package} inside the function that uses it"
        )


def code_lines(text):
    """Lines that hold code: no blanks, comments, docstrings."""
    tree = ast.parse(text)
    docs = set()
    for node in ast.walk(tree):
        if (
            isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
            and ast.get_docstring(node) is not None
        ):
            docs.update(range(node.body[0].lineno, node.body[0].end_lineno + 1))
    unseen = (
        tokenize.COMMENT,
        tokenize.NL,
        tokenize.NEWLINE,
        tokenize.INDENT,
        tokenize.DEDENT,
        tokenize.ENDMARKER,
    )
    lines = set()
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        if token.type not in unseen:
            lines.update(range(token.start[0], token.end[0] + 1))
    return len(lines - docs)


@pytest.mark.parametrize("path", FILES, ids=place)
def test_rooms_stay_small(path):
    text = path.read_text(encoding="utf-8")
    assert code_lines(text) <= CODE_LINES
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.FunctionDef):
            length = node.end_lineno - node.lineno + 1
            assert length <= FUNCTION_LINES, f"{place(path)}:{node.lineno}: {node.name} has {length} lines"


@pytest.mark.parametrize("path", FILES, ids=place)
def test_prints_only_in_commands(path):
    if place(path).startswith("commands/"):
        pytest.skip("commands are what prints")
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        assert not (
            isinstance(node, ast.Call)
            and ast.unparse(node.func) in ("print", "sys.stdout.write", "sys.stderr.write")
        )


@pytest.mark.parametrize("path", FILES, ids=place)
def test_every_file_says_what_it_is(path):
    if path.stat().st_size:
        assert ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))), "a sentence at the top, please"


def loaded_by(code):
    """Top-level packages that a fresh interpreter has loaded after some code."""
    done = subprocess.run(
        [
            sys.executable,
            "-c",
            f"{code}\nimport sys\nprint(*sorted({{m.split('.')[0] for m in sys.modules}}))",
        ],
        capture_output=True,
        text=True,
        check=True,
        cwd=HOUSE.parent,
    )
    return set(done.stdout.split())


def test_importing_hullview_loads_next_to_nothing():
    assert not loaded_by("import hullview") & {*LOADED_WHEN_USED, "click", "numpy", "scipy"}


def test_carry_loads_nothing_that_draws_or_makes_tables_of_data():
    code = (
        "from hullview.commands import status_of\nimport os, sys\nsys.stdout = open(os.devnull,"
        " 'w')\nstatus_of(['carry', 'models/short-kayak'])\nsys.stdout = sys.__stdout__"
    )
    found = loaded_by(code)
    assert {"numpy", "scipy", "click"} <= found
    assert not found & set(LOADED_WHEN_USED)


def test_every_public_name_is_there_once():
    import hullview

    for name in hullview.__all__:
        assert getattr(hullview, name) is not None
    listed = {
        alias.asname
        for node in ast.walk(ast.parse((HOUSE / "__init__.py").read_text(encoding="utf-8")))
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("hullview")
        for alias in node.names
    }
    assert listed == set(hullview.__all__)
    with pytest.raises(AttributeError, match="boat_reader"):
        hullview.boat_reader  # noqa: B018


GATHERED = ("shape/mesh.py Patches", "boat/ledger.py")
"""What is filled while a file is read or a mesh is put together, and handed on as something else."""


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(HOUSE)))
def test_inputs_and_results_are_frozen(path):
    loose = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ClassDef) and any("dataclass" in ast.unparse(d) for d in node.decorator_list):
            frozen = any(ast.unparse(d).replace(" ", "").find("frozen=True") > 0 for d in node.decorator_list)
            name = f"{path.relative_to(HOUSE).as_posix()} {node.name}"
            if not frozen and not name.startswith(GATHERED):
                loose.append(name)
    assert loose == []
