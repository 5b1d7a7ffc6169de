"""Names of materials: the shop's own, and whether every name in the file is known."""

from __future__ import annotations

from typing import Any

from hullview import materials
from hullview.boat.ledger import Ledger, shown
from hullview.boat.model import ShopMaterial
from hullview.boat.where import Path
from hullview.errors import HullviewError

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
            ledger.wrong((*path, "mass"), "", "is missing of the weighed strip", "Add it, or leave its size out.")
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
        ledger.wrong((*path, key), "", f"is missing of the {kind}", f"Add it{also}, or like with a name of the library.")
    if like is not None:
        try:
            _look(materials.library(), kind, like)
        except HullviewError as error:
            _note(ledger, (*path, "like"), like, error)
    for extra in ("price_per", "currency"):
        if extra in given and "price" not in given:
            ledger.wrong((*path, extra), shown(given[extra]), "does nothing without a price", "Add the price, or leave it out.")


def _look(library: materials.Library, kind: str, name: str) -> None:
    {"wood": library.wood, "cloth": library.cloth, "resin": library.resin, "coating": library.coating}[kind](name)


def _note(ledger: Ledger, path: Path, name: str, error: HullviewError) -> None:
    allowed, _, mend = str(error).partition(". ")
    ledger.wrong(path, shown(name), allowed.partition(" '")[0].partition(' "')[0], mend)


def look_up(ledger: Ledger, own: tuple[ShopMaterial, ...]) -> None:
    """Note every name that is neither in the library nor the shop's own."""
    try:
        library = materials.library(own)
    except HullviewError:
        return  # a shop material is incomplete, which has been noted with its line
    for path, kind, name in ledger.names:
        try:
            _look(library, kind, name)
        except HullviewError as error:
            _note(ledger, path, name, error)
