"""The form of a formula: keywords, units in names, a docstring that agrees with the signature."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable

import pytest

import calc

# What is no formula: errors, tables, the grammar, and working constants that a formula hides.
NO_FORMULAS = ("calc.errors", "calc.tables", "calc.units", "calc.carbonate.working")
UNIT_ENDINGS = (
    "_l", "_cm", "_ms_per_cm", "_per_l", "_fraction", "_fractions", "_d", "_l_per_d", "_n", "_g",
    "_mg_per_l", "_meq_per_l", "_min", "_w", "_h", "_l_per_h", "_umol_per_m2_s", "_mol_per_m2_d",
    "_any", "_mmol_per_l", "_g_per_kg", "_g_per_l", "_caco3", "_amounts", "_amount",
    "_rates_per_l", "_c", "_m", "_ppm", "_ppm_per_ms", "_per_c", "_percent", "_deg", "_kpa",
    "_kpa_per_c", "_m_per_s", "_mj_per_m2_d", "_mm_per_d", "_m2", "_m2_per_s", "_kg_per_l",
    "_ml", "_ml_per_l", "_eq_per_l", "_lx", "_lx_per_umol", "_c_d",
)  # fmt: skip
# Names of substances and lights; a rate in any unit; pH has no unit; a plain yes or no.
BARE = {"compound", "element", "dose_rate", "acid", "ion", "light", "corrected",
        "ph", "ph_start", "ph_target"}  # fmt: skip
SECTIONS = ("Parameters", "Returns", "Raises", "Notes", "References", "Examples")


def formulas() -> list[tuple[str, Callable[..., object]]]:
    found = []
    for info in pkgutil.walk_packages(calc.__path__, "calc."):
        if info.name.startswith(NO_FORMULAS):
            continue
        module = importlib.import_module(info.name)
        for name, function in inspect.getmembers(module, inspect.isfunction):
            if function.__module__ == module.__name__ and not name.startswith("_"):
                found.append((f"{info.name.removeprefix('calc.')}.{name}", function))
    return found


FORMULAS = formulas()


def test_there_are_formulas_to_check() -> None:
    assert len(FORMULAS) >= 90


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
