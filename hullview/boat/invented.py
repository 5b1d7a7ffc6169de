"""What of a boat still is the invented boat that `hullview new` writes: an answer about that is no answer
about anybody's boat."""

from __future__ import annotations

import functools

from hullview.boat.model import Boat, Table
from hullview.boat.new_boat import TEMPLATE

SHOWN = 4
"""So many of them are named; of more, how many."""


@functools.cache
def _template() -> Boat:
    from hullview.boat.reader import read_boat

    return read_boat(TEMPLATE)


def still_invented(boat: Boat) -> tuple[str, ...]:
    """Parts of a boat's files that stand as the template has them.

    Parameters
    ----------
    boat : Boat

    Returns
    -------
    tuple of str
        Rows of the table, stems, openings, paddlers, and the schedule where all of it is unchanged; empty for
        a boat that has nothing of the template. What two boats may well share (the kind of water, a wood) is
        not counted.

    Notes
    -----
    The boat is compared with the template's values, not with its text: another unit or order makes no
    difference.
    """
    invented = _template()
    rows = _rows(boat.hull.table, invented.hull.table)
    ends = (
        (f"the {name}'s profile", getattr(boat.hull, name).profile, getattr(invented.hull, name).profile)
        for name in ("bow", "stern")
    )
    found = [*rows, *(words for words, own, theirs in ends if own is not None and own == theirs)]
    found += ["the cockpit" for opening in boat.openings if opening in invented.openings]
    found += [p.name for p in boat.load.paddlers if p in invented.load.paddlers]
    if boat.builds == invented.builds:
        found.append("how it is built")
    return tuple(found)


def _rows(own: Table | None, theirs: Table | None) -> list[str]:
    """Rows of a table with the same values, and its stations."""
    if own is None or theirs is None:
        return []
    known = {(r.measure, r.name, r.at, r.values) for r in theirs.lines}
    found = ["the stations"] if own.stations == theirs.stations else []
    return found + [r.label for r in own.lines if (r.measure, r.name, r.at, r.values) in known]


def invented_words(found: tuple[str, ...]) -> str:
    """One sentence that says which lines are still the template's; '' where none is."""
    if not found:
        return ""
    if found == still_invented(_template()):
        return "Every line is still the invented boat's: put yours in its place."
    more = len(found) - SHOWN
    names = ", ".join(found[:SHOWN]) + (f" and {more} more" if more > 0 else "")
    return f"Still the invented boat's: {names}."
