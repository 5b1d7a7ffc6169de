"""Names of materials: the shop's own, and whether every name in the file is known."""

from __future__ import annotations

from typing import Any

from hullview import materials
from hullview.boat.ledger import Ledger, shown
from hullview.boat.model import ShopMaterial
from hullview.boat.values import one_of
from hullview.boat.where import Path
from hullview.errors import HullviewError, did_you_mean

Entries = list[tuple[Path, dict[str, Any]]]
LEAST, MOST = 50.0, 1500.0
"""A strip of wood that weighs less or more than this was measured or typed wrong [kg/m3]."""


def shop_materials(ledger: Ledger, entries: Entries) -> tuple[ShopMaterial, ...]:
    """The shop's own materials; a weighed strip gives its density."""
    found, seen = [], set()
    for path, given in entries:
        strip = [given.pop(k, None) for k in ("length", "width", "thickness", "mass")]
        if strip[3] is not None:
            if "density" in given:
                ledger.wrong((*path, "density"), "", "there is a weighed strip too", "Give one of them.")
                continue
            length, width, thickness, mass = strip
            given["density"] = mass / (length * width * thickness)
            if not LEAST <= given["density"] <= MOST:
                allowed = f"gives {given['density']:.4g} kg/m3, which no wood has"
                ledger.wrong(path, "", allowed, "Check the strip's size and mass, and their units.")
        elif any(s is not None for s in strip):
            ledger.wrong(
                (*path, "mass"), "", "is missing of the weighed strip", "Add it, or leave its size out."
            )
        _complete(ledger, path, given)
        key = (given["kind"], materials.key(given["name"]))
        if key in seen:
            ledger.wrong((*path, "name"), shown(given["name"]), "there is a material of this name already")
        seen.add(key)
        found.append(ShopMaterial(**given))
    return tuple(found)


def _complete(ledger: Ledger, path: Path, given: dict[str, Any]) -> None:
    """What each kind cannot be without, and what would do nothing."""
    kind = given["kind"]
    need = {"wood": "density", "cloth": "areal", "coating": "areal"}.get(kind)
    like = given.get("like")
    if need and need not in given and like is None:
        key = {"areal": "areal_weight"}.get(need, need)
        also = ", a weighed strip (length, width, thickness, mass)" if kind == "wood" else ""
        ledger.wrong(
            (*path, key),
            "",
            f"is missing of the {kind}",
            f"Add it{also}, or like with a name of the library.",
        )
    if like is not None and not _known(materials.library(), kind, like):
        _note(ledger, (*path, "like"), kind, like, materials.library())
    for extra in ("price_per", "currency"):
        if extra in given and "price" not in given:
            ledger.wrong(
                (*path, extra),
                shown(given[extra]),
                "does nothing without a price",
                "Add the price, or leave it out.",
            )


def _known(library: materials.Library, kind: str, name: str) -> bool:
    look = {"wood": library.wood, "cloth": library.cloth, "resin": library.resin, "coating": library.coating}[
        kind
    ]
    try:
        look(name)
    except HullviewError:
        return False
    return True


def _note(ledger: Ledger, path: Path, kind: str, name: str, library: materials.Library) -> None:
    """The nearest name, or those that hold what was written: two are called redwood."""
    known = library.names(kind)
    hint = did_you_mean(name, known)
    holding = [f'"{n}"' for n in known if materials.key(name) in materials.key(n)]
    if holding and not hint.startswith("Did"):
        hint = f"Did you mean {one_of(holding[:6])}?"
    ledger.wrong(path, shown(name), f"unknown {kind}", f"{hint} Or give your own as [[material]].")


def look_up(ledger: Ledger, own: tuple[ShopMaterial, ...]) -> None:
    """Note every name that is neither in the library nor the shop's own."""
    try:
        library = materials.library(own)
    except HullviewError:
        return  # a shop material is incomplete, which has been noted with its line
    for path, kind, name in ledger.names:
        if not _known(library, kind, name):
            _note(ledger, path, kind, name, library)
