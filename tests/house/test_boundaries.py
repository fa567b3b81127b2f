"""What a file may touch: pint, the clock, the store and the chat library each in one place."""

from __future__ import annotations

import ast
import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
CODE = sorted([*(ROOT / "bot").rglob("*.py"), *(ROOT / "calc").rglob("*.py")])
ONLY_IN = {
    "pint": ("calc/units/factors.py",),
    "discord": ("bot/app/", "bot/commands/", "bot/chat/"),
    "sqlalchemy": ("bot/storage/",),
    "alembic": ("bot/storage/",),
    "babel": ("bot/render/",),
    "rapidfuzz": ("bot/services/", "bot/understanding/"),
    "aiohttp": ("bot/rehearsal/", "bot/chat/", "bot/app/health.py"),
    "matplotlib": ("bot/pictures/",),
    "PIL": ("bot/pictures/",),
    "prometheus_client": ("bot/app/health.py",),
}
CLOCKS = re.compile(r"\b(datetime\.(now|utcnow|today)|date\.today|time\.time|time\.localtime)\b")


def imports(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module.split(".")[0])
    return found


@pytest.mark.parametrize("library", ONLY_IN)
def test_a_library_stays_in_its_place(library: str) -> None:
    strays = [
        str(path.relative_to(ROOT))
        for path in CODE
        if library in imports(path) and not str(path.relative_to(ROOT)).startswith(ONLY_IN[library])
    ]
    assert strays == []


def test_pint_never_sees_typed_text() -> None:
    """Each call on the registry takes a literal: nothing a person wrote can get there."""
    tree = ast.parse((ROOT / "calc/units/factors.py").read_text(encoding="utf-8"))
    calls = [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name | ast.Attribute)
        and (getattr(node.func, "id", "") == "one" or getattr(node.func, "attr", "") == "to")
    ]
    assert len(calls) > 20
    for call in calls:
        assert all(isinstance(a, ast.Constant) and isinstance(a.value, str) for a in call.args)


@pytest.mark.parametrize("path", CODE, ids=[str(p.relative_to(ROOT)) for p in CODE])
def test_only_the_clock_asks_what_time_it_is(path: Path) -> None:
    if path == ROOT / "bot/clock.py":
        return
    assert not CLOCKS.search(path.read_text(encoding="utf-8"))


def pins(lock: Path) -> dict[str, str]:
    return dict(re.findall(r"^([a-z0-9._-]+)==([^ ;\\]+)", lock.read_text(), re.MULTILINE))


def test_locks_name_no_index_and_agree() -> None:
    run, test = ROOT / "deploy/requirements.lock", ROOT / "deploy/requirements-test.lock"
    for lock in (run, test):
        text = lock.read_text(encoding="utf-8")
        assert not re.search(r"^--", text, re.MULTILINE)
        assert "://" not in text
        assert text.count("--hash=sha256:") > text.count("==")
    assert pins(run).items() <= pins(test).items()


def test_each_dependency_has_its_reason_in_the_readme() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    wanted = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    for requirement in wanted:
        name = re.split(r"[><=\[,]", requirement)[0]
        assert f"| {name} |" in readme, name
    for name in pins(ROOT / "deploy/requirements.lock"):
        assert name == name.lower()


WRITES = {"insert", "update", "delete", "sqlite_insert"}


def opened(node: ast.AsyncWith) -> set[str]:
    """Which transactions of the store a block opens: read, single, write."""
    return {
        item.context_expr.func.attr
        for item in node.items
        if isinstance(item.context_expr, ast.Call)
        and isinstance(item.context_expr.func, ast.Attribute)
        and item.context_expr.func.attr in ("read", "single", "write")
    }


STORED = sorted((ROOT / "bot/storage").rglob("*.py"))


@pytest.mark.parametrize("path", STORED, ids=[str(p.relative_to(ROOT)) for p in STORED])
def test_no_transaction_reads_first_and_writes_then(path: Path) -> None:
    """Begun as a read it would fail "locked" at once when another writer came between."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.AsyncWith) and opened(node) & {"read", "single"}:
            called = {n.func.id for n in ast.walk(node)
                      if isinstance(n, ast.Call) and isinstance(n.func, ast.Name)}  # fmt: skip
            assert not called & WRITES, node.lineno


def test_nothing_waits_for_the_network_inside_a_transaction() -> None:
    """Storage knows no platform: what it awaits is the file."""
    for path in STORED:
        assert not imports(path) & {"discord", "aiohttp"}, path
