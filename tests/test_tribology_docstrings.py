"""Every public calculation says the unit of each number it takes and gives, and its examples hold."""

from __future__ import annotations

import doctest
import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
from types import ModuleType
from typing import Any

import pytest

import diag.tribology

NAMES = [m.name for m in pkgutil.iter_modules(diag.tribology.__path__)]
MODULES = [importlib.import_module(f"diag.tribology.{name}") for name in NAMES]
HELPERS = {"common"}  # guards and shared shapes, no calculation
PUBLIC = [m for m in MODULES if (n := m.__name__.rpartition(".")[2])[0] != "_" and n not in HELPERS]
NUMBERS = ("Result", "Reals", "float", "tuple[float", "Span", "Array")
UNIT = r"[^\n]*(?:\n[^\n]*){0,2}?\[[^\]\n]+\]"
CONFIDENCE_WORDS = {"verified", "cross-checked", "common-practice", "from-memory", "judgement"}


def functions(modules: list[ModuleType]) -> Iterator[tuple[str, Callable[..., Any]]]:
    for module in modules:
        for name in getattr(module, "__all__", ()):
            found = inspect.unwrap(getattr(module, name))
            if inspect.isfunction(found) and found.__module__ == module.__name__:
                yield f"{module.__name__.rpartition('.')[2]}.{name}", found


FUNCTIONS = dict(functions(PUBLIC))


def has_unit(name: str, doc: str) -> bool:
    """The name stands in the docstring, alone or in a list, then a colon and [a unit] within three lines."""
    return re.search(rf"\b{re.escape(name)}\b(?:, \w+)*:{UNIT}", doc) is not None


@pytest.mark.parametrize("function", FUNCTIONS.values(), ids=FUNCTIONS.keys())
def test_every_parameter_has_a_unit(function: Callable[..., Any]) -> None:
    doc = inspect.getdoc(function) or ""
    parameters = inspect.signature(function).parameters.values()
    missing = [p.name for p in parameters if p.kind is not p.VAR_KEYWORD and not has_unit(p.name, doc)]
    assert missing == []


@pytest.mark.parametrize("function", FUNCTIONS.values(), ids=FUNCTIONS.keys())
def test_every_result_has_a_unit_and_a_source(function: Callable[..., Any]) -> None:
    doc = inspect.getdoc(function) or ""
    assert re.search(r"[Rr]eturns\b", doc)
    if str(inspect.signature(function).return_annotation).startswith(NUMBERS):
        assert re.search(rf"[Rr]eturns\b{UNIT}", doc)
    assert re.search(r"Sources?:", doc)


@pytest.mark.parametrize("module", MODULES, ids=lambda m: m.__name__)
def test_examples_hold(module: ModuleType) -> None:
    assert doctest.testmod(module).failed == 0


@pytest.mark.parametrize("module", [m for m in PUBLIC if hasattr(m, "CONFIDENCE")], ids=lambda m: m.__name__)
def test_every_function_says_how_sure_it_is(module: ModuleType) -> None:
    public = {n.rpartition(".")[2] for n, _ in functions([module])}
    assert set(module.CONFIDENCE) == public
    assert set(module.CONFIDENCE.values()) <= CONFIDENCE_WORDS
