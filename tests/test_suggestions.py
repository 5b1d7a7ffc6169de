"""What "did you mean" offers: the same meaning or a slip of spelling, and never a word that would change
the answer."""

from __future__ import annotations

import pytest

from hullview import materials
from hullview.boat import hull_keys, keys
from hullview.commands import COMMANDS
from hullview.errors import did_you_mean

POSTURES = ("bench", "kneeling", "legs forward", "standing")
GLASS = ("plain glass 4 oz/yd2", "plain glass 6 oz/yd2", "plain glass 10 oz/yd2")


@pytest.mark.parametrize(
    ("written", "known", "offered"),
    [
        ("sitting", POSTURES, "Did you mean 'bench' or 'legs forward'?"),  # by letters it is "standing"
        ("seated", POSTURES, "Did you mean 'bench' or 'legs forward'?"),
        ("kneling", POSTURES, "Did you mean 'kneeling'?"),
        ("stending", POSTURES, "Did you mean 'standing'?"),
        ("outer", ("inside", "outside"), "Did you mean 'outside'?"),
        ("ouside", ("inside", "outside"), "Did you mean 'outside'?"),
        ("side", ("inside", "outside"), "Known: inside, outside."),
        ("hull side", ("hull inside", "hull outside"), "Did you mean 'hull inside' or 'hull outside'?"),
        ("closed", ("decked", "open"), "Did you mean 'decked'?"),
        ("sea", ("fresh", "salt"), "Did you mean 'salt'?"),
        ("river", ("fresh", "salt"), "Did you mean 'fresh'?"),
        ("brackish", ("fresh", "salt"), "Known: fresh, salt."),
        ("right", ("starboard", "port", "both"), "Did you mean 'starboard'?"),
        (
            "plain glass 5 oz/yd2",
            GLASS,
            f"Known: {', '.join(sorted(GLASS))}.",
        ),  # another cloth, one digit off
        ("plain glas 6 oz/yd2", GLASS, "Did you mean 'plain glass 6 oz/yd2'?"),
        ("nm", tuple(hull_keys.UNITS), f"Known: {', '.join(sorted(hull_keys.UNITS))}."),
        ("inches", tuple(hull_keys.UNITS), "Did you mean 'in'?"),
        ("red oak", ("white oak", "redwood old growth"), "Known: redwood old growth, white oak."),
        ("weight", ("mass", "at", "height"), "Did you mean 'mass'?"),  # by letters it is "height"
        ("", ("oak",), "Known: oak."),
        ("x" * 100_000, ("oak",), "Known: oak."),
    ],
)
def test_an_offer_means_what_was_written(written, known, offered):
    assert did_you_mean(written, known) == offered


def vocabularies() -> list[tuple[str, ...]]:
    library = materials.library()
    sheets = [*keys.LISTS.values(), *keys.TABLES.values(), keys.PADDLER, keys.GEAR, keys.HULL]
    return [
        POSTURES, tuple(COMMANDS), keys.TOP, *(sheet.names for sheet in sheets),
        *(tuple(library.names(kind)) for kind in ("wood", "cloth", "resin", "coating")),
    ]  # fmt: skip


@pytest.mark.parametrize("known", vocabularies(), ids=lambda known: known[0])
def test_one_wrong_letter_leads_back_to_the_word(known):
    """Each letter of each word left out, doubled, or changed round with the next: the word itself is offered,
    or none (where another is as near); never another word alone."""
    tried, offers = 0, 0
    for word in known:
        for i, letter in enumerate(word):
            if not letter.isalpha() or len(word) < 5:
                continue
            for slip in (
                word[:i] + word[i + 1 :],
                word[:i] + letter + word[i:],
                word[:i] + word[i + 1 : i + 2] + letter + word[i + 2 :],
            ):
                printed = did_you_mean(slip, known)
                assert not printed.startswith("Did") or repr(word) in printed, (slip, printed)
                tried += 1
                offers += printed == f"Did you mean {word!r}?"
    assert offers >= 0.8 * tried


def test_a_posture_is_not_offered_by_its_letters(tmp_path):
    from pathlib import Path

    from hullview.boat.reader import read_boat
    from hullview.errors import BoatFileError

    model = Path(__file__).parents[1] / "models" / "flat-skiff"
    (tmp_path / "offsets.csv").write_bytes((model / "offsets.csv").read_bytes())
    text = (model / "boat.toml").read_text()
    assert 'posture = "bench"' in text
    (tmp_path / "boat.toml").write_text(text.replace('posture = "bench"', 'posture = "sitting"'))
    with pytest.raises(BoatFileError) as refused:
        read_boat(tmp_path)
    assert "Did you mean 'bench' or 'legs forward'?" in str(refused.value)
