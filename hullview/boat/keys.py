"""Every key of boat.toml: the whole file, table by table. What stands in each table is in `hull_keys` and
`build_keys`."""

from __future__ import annotations

from collections.abc import Mapping

from hullview.boat import build_keys, cases, hull_keys, shop_keys
from hullview.boat import values as v
from hullview.boat.key_table import Key, KeyTable

LISTS: Mapping[str, KeyTable] = {
    "opening": hull_keys.OPENING,
    "hatch": hull_keys.HATCH,
    "bulkhead": hull_keys.BULKHEAD,
    "tank": hull_keys.TANK,
    "flotation": hull_keys.FLOTATION,
    "flooding": hull_keys.FLOODING,
    "appendage": hull_keys.APPENDAGE,
    "case": cases.CASE,
    "material": build_keys.MATERIAL,
    "weighed": build_keys.WEIGHED,
    "afloat": build_keys.AFLOAT,
    "consumable": build_keys.CONSUMABLE,
}
"""Tables written [[opening]], one for each."""
TABLES: Mapping[str, KeyTable] = {
    "water": hull_keys.WATER,
    "limits": hull_keys.LIMITS,
    "order": build_keys.ORDER,
    "forms": build_keys.FORMS,
    "shop": shop_keys.SHOP,
}
"""Tables written [water], once."""
HULL, END, PADDLER, GEAR = hull_keys.HULL, hull_keys.END, hull_keys.PADDLER, hull_keys.GEAR
SCHEDULE, BUILD = build_keys.SCHEDULE, build_keys.BUILD
"""What stands in [schedule] and in each of [builds], and what a build has beside it."""
PLAIN: tuple[Key, ...] = (
    Key("name", v.text(), needed=True),
    Key("builder", v.text(2000, lines=True)),
    Key("notes", v.text(20_000, lines=True)),
    Key("source", v.text(20_000, lines=True)),
    Key("without", v.left_off()),
    Key("care", v.choice("careful", "usual", "heavy-handed")),
)
GROUPS = ("hull", "load", "schedule", "builds")
TOP = (*(k.name for k in PLAIN), *GROUPS, *LISTS, *TABLES)
