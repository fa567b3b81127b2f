"""Every sentence a person can be shown is in bot/words, by name, and used with its values."""

from __future__ import annotations

import ast
import re
import string
from pathlib import Path

import pytest

from bot.words import names, sentence

BOT = Path(__file__).parents[2] / "bot"
SOURCES = sorted(
    path
    for path in BOT.rglob("*.py")
    if not {"words", "rehearsal"} & set(path.relative_to(BOT).parts)
)
# Reads as a sentence: three words and more, and a capital or an end mark.
SENTENCE = re.compile(r"^(?=.*[A-Z].* .* |.* .* .*[.?!]$)[A-Za-z“].*[a-z]{3}.* .* ")
# Texts nobody but the operator's shell or a developer sees: argparse helps, SQL, error reprs.
ALLOWED = {"bot/__main__.py"}


def tree_of(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def docstrings(tree: ast.AST) -> set[int]:
    return {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }


def raised(tree: ast.AST) -> set[int]:
    """Texts of exceptions that are bugs' or errors' own reprs, never a person's sentence."""
    return {
        id(inner)
        for node in ast.walk(tree)
        if isinstance(node, ast.Raise)
        for inner in ast.walk(node)
    }


@pytest.mark.parametrize("path", SOURCES, ids=[str(p.relative_to(BOT)) for p in SOURCES])
def test_no_stray_sentence(path: Path) -> None:
    if str(path.relative_to(BOT.parent)) in ALLOWED or path.parent.name == "asks":  # patterns only
        return
    tree = tree_of(path)
    skipped = docstrings(tree) | raised(tree)
    strays = [
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and id(node) not in skipped
        and SENTENCE.match(node.value)
        and not node.value.startswith(("SELECT", "PRAGMA"))
    ]
    assert strays == []


def placeholders(name: str) -> set[str]:
    return {field for _, field, _, _ in string.Formatter().parse(sentence(name)) if field}


def spoken() -> list[tuple[str, str, set[str]]]:
    """(place, word, values) of every line("word", value=...) call with a plain name."""
    found = []
    for path in SOURCES:
        for node in ast.walk(tree_of(path)):
            if not isinstance(node, ast.Call) or not node.args:
                continue
            name = (
                node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
            )
            first = node.args[0]
            if name not in ("line", "Refusal", "NotStarted") or not isinstance(first, ast.Constant):
                continue
            values = {k.arg for k in node.keywords if k.arg}
            if any(k.arg is None for k in node.keywords):
                values |= placeholders(str(first.value))
            found.append((f"{path.name}:{node.lineno}", str(first.value), values))
    return found


SPOKEN = spoken()


@pytest.mark.parametrize(
    ("place", "word", "values"), SPOKEN, ids=[f"{place}-{word}" for place, word, _ in SPOKEN]
)
def test_each_line_has_its_sentence_and_every_value(
    place: str, word: str, values: set[str]
) -> None:
    assert word in names()
    assert placeholders(word) <= values


def test_each_sentence_is_used() -> None:
    """A name is used when it, or the beginning it is built from, stands in the code."""
    code = "\n".join(path.read_text(encoding="utf-8") for path in SOURCES)
    built = (*tuple(re.findall(r'f"([a-z]+\.[a-z_]*)\{', code)), "option.", "choice.")
    unused = [
        name
        for name in names()
        if f'"{name}"' not in code
        and f'"{name.removesuffix("_unnamed")}"' not in code
        and not name.startswith(built)
    ]
    assert unused == []


def test_slash_texts_fit_the_platform() -> None:
    for name in names():
        if name.startswith(("command.", "option.", "choice.")):
            assert 1 <= len(sentence(name)) <= 100, name


def test_a_question_asks_once() -> None:
    for name in names():
        if name.startswith("ask."):
            assert sentence(name).count("?") == 1, name


def test_danger_sentences_hold_no_number() -> None:
    for name in names():
        if name.startswith("no.") and name not in ("no.tower_name", "no.tower_limit", "no.bug"):
            assert not re.search(r"\d", sentence(name)), name
