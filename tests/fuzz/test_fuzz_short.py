"""A short run of the fuzzers in tests/fuzz, the same inputs every time; the long ones are run by hand."""

from __future__ import annotations

import folders
import meshes
import options
import pytest


def test_spoilt_folders_are_read_or_refused_with_their_place(tmp_path):
    tally = folders.run(1000, 7, tmp_path)
    assert not tally.faults, tally.report()
    assert tally.outcomes["read"] > 50 and tally.outcomes["BoatFileError"] > 500, (
        "changes too mild, or too wild, to try anything"
    )


@pytest.mark.timeout(300)
def test_spoilt_folders_go_through_carry_to_an_answer_or_a_refusal(tmp_path):
    tally = folders.run(60, 7, tmp_path, "carry")
    assert not tally.faults, tally.report()
    assert sum(tally.outcomes[a] for a in ("carries", "marginal", "does not carry")) > 10


@pytest.mark.timeout(300)
@pytest.mark.parametrize("through, answers", [("cases", ("told",)), ("alter", ("written, carries",))])
def test_spoilt_folders_go_through_cases_and_alter_whole_or_not_at_all(through, answers, tmp_path):
    tally = folders.run(25, 7, tmp_path, through)
    assert not tally.faults, tally.report()
    assert sum(tally.outcomes[a] for a in answers) >= 2


def test_spoilt_meshes_float_or_are_refused(tmp_path):
    tally = meshes.run(600, 7, tmp_path)
    assert not tally.faults, tally.report()
    assert tally.outcomes["afloat"] > 60 and tally.outcomes["MeshError"] > 300


def test_odd_words_on_the_command_line_are_answered_in_words():
    tally = options.run(60, 7)
    assert not tally.faults, tally.report()
    assert tally.outcomes["status 0"] > 3 and tally.outcomes["status 2"] > 20
