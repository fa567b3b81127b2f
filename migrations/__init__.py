"""Alembic migrations of Tankwren's database."""
