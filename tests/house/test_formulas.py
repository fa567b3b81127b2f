"""The form of a formula: keywords, units in names, a docstring that agrees with the signature."""

from __future__ import annotations

import importlib
import inspect
import re
from collections.abc import Callable

import pytest

TOPICS = (
    "solution", "salts", "dose", "topup", "refill", "source", "pump", "light", "bands",
)  # fmt: skip
UNIT_ENDINGS = (
    "_l", "_cm", "_ms_per_cm", "_per_l", "_fraction", "_d", "_l_per_d", "_n", "_mg_per_l",
    "_meq_per_l", "_min", "_w", "_h", "_l_per_h", "_umol_per_m2_s", "_mol_per_m2_d", "_any",
    "_mmol_per_l", "_g_per_kg", "_g_per_l", "_caco3", "_amounts", "_rates_per_l",
)  # fmt: skip
BARE = {"compound", "element", "dose_rate"}  # names of substances; a rate in any unit
SECTIONS = ("Parameters", "Returns", "Raises", "Notes", "References", "Examples")


def formulas() -> list[tuple[str, Callable[..., object]]]:
    found = []
    for topic in TOPICS:
        module = importlib.import_module(f"calc.{topic}")
        for name, function in inspect.getmembers(module, inspect.isfunction):
            if function.__module__ == module.__name__ and not name.startswith("_"):
                found.append((f"{topic}.{name}", function))
    return found


FORMULAS = formulas()


def test_there_are_formulas_to_check() -> None:
    assert len(FORMULAS) >= 20


@pytest.mark.parametrize(("name", "formula"), FORMULAS, ids=[name for name, _ in FORMULAS])
def test_takes_keywords_whose_names_say_the_unit(name: str, formula: Callable[..., object]) -> None:
    for parameter in inspect.signature(formula).parameters.values():
        assert parameter.kind is parameter.KEYWORD_ONLY, parameter
        assert parameter.name.endswith(UNIT_ENDINGS) or parameter.name in BARE, parameter


@pytest.mark.parametrize(("name", "formula"), FORMULAS, ids=[name for name, _ in FORMULAS])
def test_docstring_agrees_with_the_signature(name: str, formula: Callable[..., object]) -> None:
    text = inspect.getdoc(formula) or ""
    found = [s for s in SECTIONS if re.search(rf"^{s}\n-+$", text, re.MULTILINE)]
    assert found == list(SECTIONS)
    parameters = text.split("Parameters\n")[1].split("Returns\n")[0]
    described = re.findall(r"^(\w+) : ", parameters, re.MULTILINE)
    assert described == list(inspect.signature(formula).parameters)
    for block in re.split(r"^\w+ : .*$", parameters, flags=re.MULTILINE)[1:]:
        assert "[" in block or "formula of" in block or "symbol" in block or "unit" in block, block
    assert ">>> " in text
