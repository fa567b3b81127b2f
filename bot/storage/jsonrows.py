"""Rows of a subquery as one JSON array, so that a whole Book is one query on either database."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Column, ColumnElement, ScalarSelect, Select, Table, func, select
from sqlalchemy.ext.compiler import compiles
from sqlalchemy.sql.compiler import SQLCompiler
from sqlalchemy.sql.elements import KeyedColumnElement
from sqlalchemy.sql.functions import GenericFunction


class _RowsAsJson(GenericFunction[str]):
    """json_group_array / json_agg of an object with these keys."""

    inherit_cache = True
    name = "rows_as_json"


@compiles(_RowsAsJson, "sqlite")
def _sqlite(element: _RowsAsJson, compiler: SQLCompiler, **kw: Any) -> str:
    return f"json_group_array(json_object({compiler.process(element.clauses, **kw)}))"


@compiles(_RowsAsJson, "postgresql")
def _postgresql(element: _RowsAsJson, compiler: SQLCompiler, **kw: Any) -> str:
    inner = compiler.process(element.clauses, **kw)
    return f"coalesce(json_agg(json_build_object({inner}))::text, '[]')"


def json_rows(columns: Sequence[KeyedColumnElement[Any]], source: Select[Any]) -> ScalarSelect[str]:
    """`source`'s rows as a JSON array of objects keyed by column name."""
    named: list[ColumnElement[Any] | str] = []
    for column in columns:
        named += [column.name, column]
    return source.with_only_columns(_RowsAsJson(*named)).scalar_subquery()


def columns_of(table: Table, *left_out: str) -> list[Column[Any]]:
    """A table's columns but the named ones."""
    return [column for column in table.columns if column.name not in left_out]


__all__ = ["columns_of", "func", "json_rows", "select"]
