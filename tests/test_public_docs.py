"""What the library offers says what goes in, what comes out and in which units: numpydoc sections."""

from __future__ import annotations

import inspect
from collections.abc import Iterator

import pytest

import hullview
from hullview import study


def public_functions() -> Iterator[tuple[str, object]]:
    """Functions and methods behind the public names, and all of `study`, with their names."""
    for name in hullview.__all__:
        one = getattr(hullview, name)
        if inspect.isfunction(one):
            yield name, one
            continue
        for method, value in vars(one).items():
            value = value.__func__ if isinstance(value, staticmethod | classmethod) else value
            if inspect.isfunction(value) and not method.startswith("_"):
                yield f"{name}.{method}", value
    for name, one in vars(study).items():
        if inspect.isfunction(one) and one.__module__ == study.__name__ and not name.startswith("_"):
            yield f"study.{name}", one


FUNCTIONS = dict(public_functions())


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_public_function_says_what_goes_in_and_what_comes_out(name):
    function = FUNCTIONS[name]
    words, signature = inspect.getdoc(function) or "", inspect.signature(function)
    taken = [p for p in signature.parameters.values() if p.name != "self"]
    if taken:
        told = words.partition("Parameters\n----------\n")[2].partition("\n\n")[0].splitlines()
        heads = [line.split(" : ")[0] for line in told if not line.startswith(" ")]
        named = [name.lstrip("*") for head in heads for name in head.split(", ")]
        assert named == [p.name for p in taken]
    assert "Returns\n-------\n" in words or "Yields\n------\n" in words


def test_the_list_is_of_more_than_a_few():
    assert len(FUNCTIONS) > 40
