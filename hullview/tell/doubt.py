"""Which unknown decides: what to measure first, and the shares of the doubt."""

from __future__ import annotations

from typing import Any

from hullview.answer.doubt import Doubt
from hullview.tell.model import Block, Column, Line, Q, Table, say

_COLUMNS = (
    Column("", "unknown"),
    Column("", "alone", "share"),
    Column("", "95 % interval"),
    Column("", "with others", "share"),
    Column("", "95 % interval"),
)


def doubt_blocks(found: Doubt) -> list[Block]:
    """What to measure first in a sentence; in full, the share of each unknown."""
    blocks: list[Block] = [Line(say(f"{found.words[0].upper()}{found.words[1:]}."))]
    if not found.shares:
        return blocks
    rows = tuple(
        (
            s.unknown,
            _clipped((s.first,))[0],
            say(Q("share", _clipped(s.first_interval))),
            _clipped((s.total,))[0],
            say(Q("share", _clipped(s.total_interval))),
        )
        for s in found.shares
    )
    foot = say(
        "What each unknown makes of the doubt in the least margin, alone and with what it does together with"
        " others."
    )
    return [*blocks, Table("", "", _COLUMNS, rows, foot=(foot,), short=False)]


def _clipped(found: tuple[float, ...]) -> tuple[float, ...]:
    """Shares as a person reads them: sums of samples may come out a little under 0 or over 1."""
    return tuple(min(max(share, 0.0), 1.0) for share in found)


def doubt_record(found: Doubt) -> dict[str, Any]:
    """The same for programs."""
    return {
        "words": found.words,
        "shares": [
            {
                "unknown": s.unknown,
                "first": s.first,
                "first_interval": list(s.first_interval),
                "total": s.total,
                "total_interval": list(s.total_interval),
                "percent": round(100 * min(s.total, 1.0)),
            }
            for s in found.shares
        ],
        "spread": found.spread,
        "fit_error": found.fit_error,
        "in_full": found.full,
        "goes_over": found.over,
        "why_not": found.why or None,
    }
