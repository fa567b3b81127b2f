"""The command line: every reason not to start is one readable line and a non-zero exit."""

from __future__ import annotations

import json
import os
import shutil
import socket
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from bot.storage.schema import newest

ROOT = Path(__file__).parents[2]


def tankwren(
    *arguments: str, cwd: Path, stdin: str = "", **settings: str
) -> subprocess.CompletedProcess[str]:
    clean = {k: v for k, v in os.environ.items() if not k.startswith("TANKWREN_")}
    return subprocess.run(
        [sys.executable, "-m", "bot", *arguments],
        cwd=cwd,
        input=stdin,
        capture_output=True,
        text=True,
        timeout=60,
        env={**clean, "PYTHONPATH": str(ROOT), **settings},
        check=False,
    )


def refused(result: subprocess.CompletedProcess[str]) -> str:
    assert result.returncode == 2
    lines = result.stderr.strip().splitlines()
    assert len(lines) == 1, result.stderr
    assert lines[0].startswith("tankwren: ")
    assert "Traceback" not in result.stderr
    return lines[0]


def test_a_missing_token_is_named(tmp_path: Path) -> None:
    assert "TANKWREN_TOKEN is not set" in refused(tankwren("run", cwd=tmp_path))
    assert "cannot be read" in refused(
        tankwren("run", cwd=tmp_path, TANKWREN_TOKEN_FILE=str(tmp_path / "none"))
    )


def test_a_data_folder_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    for command in (["run"], ["migrate"], ["rehearse", "--say", "x"]):
        line = refused(
            tankwren(*command, cwd=tmp_path, TANKWREN_DATA_DIR=str(tmp_path / "file" / "data"))
        )
        assert "cannot be written" in line


def test_an_empty_and_an_old_schema_are_named(tmp_path: Path) -> None:
    settings = {"TANKWREN_TOKEN": "made-up", "TANKWREN_DATA_DIR": str(tmp_path / "data")}
    assert "tankwren migrate" in refused(tankwren("run", cwd=tmp_path, **settings))
    migrated = tankwren("migrate", cwd=tmp_path, **settings)
    assert (migrated.returncode, f"schema {newest()}" in migrated.stdout) == (0, True)
    database = tmp_path / "data" / "tankwren.db"
    assert database.stat().st_mode & 0o077 == 0
    assert database.parent.stat().st_mode & 0o077 == 0
    with sqlite3.connect(database) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '0000'")
    connection.close()
    assert "schema 0000" in refused(tankwren("run", cwd=tmp_path, **settings))


def test_a_file_that_is_no_database_is_named(tmp_path: Path) -> None:
    (tmp_path / "data").mkdir()
    (tmp_path / "data" / "tankwren.db").write_bytes(b"no database at all, " * 100)
    settings = {"TANKWREN_TOKEN": "made-up", "TANKWREN_DATA_DIR": str(tmp_path / "data")}
    for command, word in (("run", "is damaged"), ("migrate", "cannot be opened")):
        assert word in refused(tankwren(command, cwd=tmp_path, **settings))


def test_an_address_that_is_none_is_named(tmp_path: Path) -> None:
    line = refused(tankwren("run", cwd=tmp_path, TANKWREN_API_URL="here"))
    assert "TANKWREN_API_URL is no plain http" in line
    for address in ("http://[::1", "http://host:abc", "xx://user:hidden@host", "http://u:hidden@h"):
        line = refused(tankwren("run", cwd=tmp_path, TANKWREN_API_URL=address))
        assert "hidden" not in line
    for database in ("garbage", "mysql://x", "sqlite:///x.db"):
        assert "sqlite+aiosqlite" in refused(
            tankwren("run", cwd=tmp_path, TANKWREN_DATABASE_URL=database)
        )


def test_a_token_file_that_others_can_read_is_refused(tmp_path: Path) -> None:
    (tmp_path / "token").write_text("made-up\n")
    (tmp_path / "token").chmod(0o644)
    setting = {"TANKWREN_TOKEN_FILE": str(tmp_path / "token")}
    assert "chmod 600" in refused(tankwren("run", cwd=tmp_path, **setting))
    (tmp_path / "token").chmod(0o600)
    assert "tankwren migrate" in refused(tankwren("run", cwd=tmp_path, **setting))
    assert not (tmp_path / "data" / "tankwren.db").exists()  # no silent new empty database
    assert "no token" in refused(tankwren("run", cwd=tmp_path, TANKWREN_TOKEN="two words"))


def test_a_newer_schema_and_a_record_nowhere_are_named(tmp_path: Path) -> None:
    assert tankwren("migrate", cwd=tmp_path).returncode == 0
    with sqlite3.connect(tmp_path / "data" / "tankwren.db") as connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
    connection.close()
    for command in ("run", "migrate"):
        line = refused(tankwren(command, cwd=tmp_path, TANKWREN_TOKEN="made-up"))
        assert "newer than this version" in line
    line = refused(
        tankwren(
            "rehearse", "--record", "/nonexistent/x", "--say", "x",
            cwd=tmp_path, TANKWREN_DATA_DIR=str(tmp_path / "other"),
        )
    )  # fmt: skip
    assert "cannot be written" in line


def test_a_port_in_use_is_named(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        line = refused(tankwren("rehearse", "--port", port, "--say", "x", cwd=tmp_path))
    assert f"Port {port} is in use" in line


def test_rehearse_names_its_page_unless_there_is_none(tmp_path: Path) -> None:
    with_page = tankwren("rehearse", cwd=tmp_path, stdin="quit\n")
    assert "The page: http://127.0.0.1:" in with_page.stdout
    without = tankwren("rehearse", "--no-page", cwd=tmp_path, stdin="quit\n")
    assert "The page" not in without.stdout
    assert "ready at http://127.0.0.1:" in without.stdout
    assert (with_page.returncode, without.returncode) == (0, 0)


def test_the_token_is_in_no_output(tmp_path: Path) -> None:
    settings = {"TANKWREN_TOKEN": "marker-7d1f", "TANKWREN_DATA_DIR": str(tmp_path / "data")}
    result = tankwren("run", cwd=tmp_path, **settings)
    assert "marker-7d1f" not in result.stdout + result.stderr


def test_a_dotenv_file_is_read_and_the_environment_wins(tmp_path: Path) -> None:
    (tmp_path / ".env").write_text(f"TANKWREN_DATA_DIR={tmp_path / 'from-file'}\n")
    assert tankwren("migrate", cwd=tmp_path).returncode == 0
    assert (tmp_path / "from-file" / "tankwren.db").exists()
    settings = {"TANKWREN_DATA_DIR": str(tmp_path / "from-environment")}
    assert tankwren("migrate", cwd=tmp_path, **settings).returncode == 0
    assert (tmp_path / "from-environment" / "tankwren.db").exists()


def test_ask_answers_one_sentence_and_a_batch(tmp_path: Path) -> None:
    records = {"towers": [{"name": "kitchen", "tank_l": 60}], "feeds": [
        {"name": "f", "parts": [{"name": "A", "ml_per_l": 2}], "ec_gain_ms_per_cm": 1.5}
    ]}  # fmt: skip
    (tmp_path / "r.json").write_text(json.dumps(records))
    one = tankwren("ask", "--records", "r.json", "--json", "half full", cwd=tmp_path)
    assert json.loads(one.stdout)["outcome"] == "answer"
    lines = "".join(
        json.dumps({"id": i, "text": text, "records": records}) + "\n"
        for i, text in enumerate(["half full", "premix A and B?", ""])
    )
    batch = tankwren("ask", "--batch", cwd=tmp_path, stdin=lines)
    replies = [json.loads(line) for line in batch.stdout.splitlines()]
    assert [(r["id"], r["outcome"]) for r in replies] == [
        (0, "answer"),
        (1, "refuse"),
        (2, "refer"),
    ]
    assert "--batch" in refused(tankwren("ask", cwd=tmp_path))


@pytest.mark.parametrize("arguments", [[], ["dance"]])
def test_a_wrong_command_shows_what_there_is(arguments: list[str], tmp_path: Path) -> None:
    result = tankwren(*arguments, cwd=tmp_path)
    assert result.returncode == 2
    assert "rehearse" in result.stderr


def test_a_built_wheel_migrates_in_an_empty_folder(tmp_path: Path) -> None:
    """A wheel drops migrations and tables unless they are packages and package data."""
    source = tmp_path / "source"
    left_out = shutil.ignore_patterns(".*", "build", "*.egg-info", "__pycache__", "tests", "data")
    shutil.copytree(ROOT, source, ignore=left_out)
    shutil.copytree(ROOT / "calc" / "data", source / "calc" / "data")
    build = [sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "--no-build-isolation"]
    subprocess.run([*build, "-w", str(tmp_path), str(source)], check=True, timeout=120)
    (wheel,) = tmp_path.glob("*.whl")
    install = [sys.executable, "-m", "pip", "install", "-q", "--no-deps", "--target"]
    subprocess.run([*install, str(tmp_path / "site"), str(wheel)], check=True, timeout=120)
    empty = tmp_path / "empty"
    empty.mkdir()
    result = tankwren("migrate", cwd=empty, PYTHONPATH=str(tmp_path / "site"))
    assert result.returncode == 0, result.stderr
    assert (empty / "data" / "tankwren.db").exists()
    (empty / "r.json").write_text("{}")
    asked = tankwren(
        "ask", "--records", "r.json", "--json", "help", cwd=empty, PYTHONPATH=str(tmp_path / "site")
    )
    assert json.loads(asked.stdout)["intent"] == "help"
    site = str(tmp_path / "site")
    played = tankwren("rehearse", cwd=empty, stdin="quit\n", PYTHONPATH=site)
    assert "The page: http://127.0.0.1:" in played.stdout, played.stderr
