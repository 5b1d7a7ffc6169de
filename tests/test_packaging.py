"""What is shipped with the package, and the versions it is tried with."""

from __future__ import annotations

import fnmatch
import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


def test_every_file_beside_the_code_goes_into_the_wheel():
    globs = PROJECT["tool"]["setuptools"]["package-data"]["hullview"]
    beside = [
        p
        for p in (ROOT / "hullview").rglob("*")
        if p.is_file() and p.suffix != ".py" and "__pycache__" not in p.parts  # of Python's and numba's own
    ]
    assert len(beside) > 10
    for path in beside:
        name = path.relative_to(ROOT / "hullview").as_posix()
        assert any(fnmatch.fnmatch(name, g) and name.count("/") == g.count("/") for g in globs), (
            f"{name} is not shipped"
        )


def test_every_room_is_a_package():
    folders = {p.parent for p in (ROOT / "hullview").rglob("*.py")}
    assert all((folder / "__init__.py").exists() for folder in folders)


def _bounds() -> dict[str, tuple[int, ...]]:
    wanted = [
        *PROJECT["project"]["dependencies"],
        *(w for extra in PROJECT["project"]["optional-dependencies"].values() for w in extra),
    ]
    found = (re.fullmatch(r"([\w-]+)>=([\d.]+)", w) for w in wanted)
    return {m[1].lower(): _version(m[2]) for m in found if m}


def _version(text: str) -> tuple[int, ...]:
    return tuple(int(part) for part in re.findall(r"\d+", text)[:3])


def test_constraints_pin_every_dependency_within_its_bound_and_name_no_host():
    lines = [
        line
        for line in (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
        if not line.startswith("#")
    ]
    assert not any("/" in line or "@" in line or "--" in line for line in lines)
    pins: dict[str, list[tuple[int, ...]]] = {}
    for line in lines:
        name, version = re.match(r"([\w.-]+)==([\w.]+)", line).groups()  # type: ignore[union-attr]
        pins.setdefault(name.lower().replace("_", "-"), []).append(_version(version))
    bounds = _bounds()
    assert len(bounds) > 15
    for name, least in bounds.items():
        assert name in pins, f"{name} is not pinned"
        assert all(pin >= least for pin in pins[name]), f"{name}: {pins[name]} is older than {least}"
