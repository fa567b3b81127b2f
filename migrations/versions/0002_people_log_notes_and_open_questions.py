"""people, log, notes and open questions

Revision ID: 0002
Create Date: 2026-11-25 14:08:18.903523
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import bot.storage.types

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "note",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("community_id", sa.Integer(), nullable=False),
        sa.Column("about", sa.String(length=100), nullable=False),
        sa.Column("text", sa.String(length=1500), nullable=True),
        sa.Column("by", sa.String(length=100), nullable=True),
        sa.Column("set_on", sa.Date(), nullable=False),
        sa.Column("replaces_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(
            ["community_id"], ["community.id"], name=op.f("fk_note_community_id_community")
        ),
        sa.ForeignKeyConstraint(
            ["replaces_id"], ["note.id"], name=op.f("fk_note_replaces_id_note")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_note")),
        sa.UniqueConstraint("replaces_id", name=op.f("uq_note_replaces_id")),
    )
    with op.batch_alter_table("note", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_note_community_id"), ["community_id"], unique=False)

    op.create_table(
        "conversation",
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("guild_id", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.Column("question", sa.JSON(), nullable=False),
        sa.Column("field", sa.String(length=16), nullable=False),
        sa.Column("at", bot.storage.types.UtcTime(), nullable=False),
        sa.ForeignKeyConstraint(
            ["member_id"], ["member.id"], name=op.f("fk_conversation_member_id_member")
        ),
        sa.PrimaryKeyConstraint("member_id", "guild_id", name=op.f("pk_conversation")),
    )
    with op.batch_alter_table("community", schema=None) as batch_op:
        batch_op.add_column(sa.Column("quiet_from", sa.String(length=5), nullable=True))
        batch_op.add_column(sa.Column("quiet_to", sa.String(length=5), nullable=True))
        batch_op.add_column(sa.Column("welcome_id", sa.BigInteger(), nullable=True))
        batch_op.add_column(
            sa.Column("rules_seen", sa.Boolean(), server_default=sa.text("0"), nullable=False)
        )
        batch_op.add_column(
            sa.Column("zone_set", sa.Boolean(), server_default=sa.text("0"), nullable=False)
        )

    with op.batch_alter_table("entry", schema=None) as batch_op:
        batch_op.add_column(sa.Column("note", sa.String(length=200), nullable=True))
        batch_op.add_column(sa.Column("recorded_at", bot.storage.types.UtcTime(), nullable=True))
        batch_op.create_index("ix_entry_of_tower", ["tower_id"], unique=False)
        batch_op.create_unique_constraint(batch_op.f("uq_entry_undoes_id"), ["undoes_id"])

    # What was logged before was told when it happened.
    op.execute("UPDATE entry SET recorded_at = at")
    with op.batch_alter_table("entry", schema=None) as batch_op:
        batch_op.alter_column(
            "recorded_at", existing_type=bot.storage.types.UtcTime(), nullable=False
        )

    with op.batch_alter_table("feed", schema=None) as batch_op:
        batch_op.add_column(sa.Column("member_id", sa.Integer(), nullable=True))
        batch_op.drop_constraint(batch_op.f("uq_feed_community_id_name"), type_="unique")
        batch_op.create_index(
            batch_op.f("ix_feed_community_id_name"), ["community_id", "name"], unique=False
        )
        batch_op.create_index(batch_op.f("ix_feed_member_id"), ["member_id"], unique=False)
        batch_op.create_foreign_key(
            batch_op.f("fk_feed_member_id_member"), "member", ["member_id"], ["id"]
        )

    # Buttons of the old version lived for a day and knew less than the new ones need.
    op.execute("DELETE FROM handle")
    with op.batch_alter_table("handle", schema=None) as batch_op:
        batch_op.add_column(sa.Column("made_at", bot.storage.types.UtcTime(), nullable=False))
        batch_op.add_column(sa.Column("used_at", bot.storage.types.UtcTime(), nullable=True))
        batch_op.alter_column("user_id", existing_type=sa.BIGINT(), nullable=True)
        batch_op.create_index(batch_op.f("ix_handle_user_id"), ["user_id"], unique=False)

    with op.batch_alter_table("keeper", schema=None) as batch_op:
        batch_op.add_column(
            sa.Column("accepted", sa.Boolean(), server_default=sa.text("1"), nullable=False)
        )
        batch_op.add_column(sa.Column("invited_by", sa.Integer(), nullable=True))
        batch_op.create_foreign_key(
            batch_op.f("fk_keeper_invited_by_member"),
            "member",
            ["invited_by"],
            ["id"],
            ondelete="SET NULL",
        )

    with op.batch_alter_table("member", schema=None) as batch_op:
        batch_op.add_column(sa.Column("quiet_from", sa.String(length=5), nullable=True))
        batch_op.add_column(sa.Column("quiet_to", sa.String(length=5), nullable=True))
        batch_op.add_column(
            sa.Column("private_answers", sa.Boolean(), server_default=sa.text("0"), nullable=False)
        )
        batch_op.add_column(sa.Column("joined_on", sa.Date(), nullable=True))
        batch_op.add_column(
            sa.Column("home", sa.Boolean(), server_default=sa.text("0"), nullable=False)
        )

    with op.batch_alter_table("tower", schema=None) as batch_op:
        batch_op.add_column(sa.Column("timer_step_min", sa.Float(), nullable=True))
        batch_op.add_column(sa.Column("pump_l_per_h", sa.Float(), nullable=True))
        batch_op.add_column(sa.Column("light_h", sa.Float(), nullable=True))
        batch_op.add_column(sa.Column("light_w", sa.Float(), nullable=True))
        batch_op.add_column(sa.Column("stage", sa.String(length=8), nullable=True))
        batch_op.add_column(sa.Column("arrives_on", sa.Date(), nullable=True))
        batch_op.add_column(sa.Column("sown_on", sa.Date(), nullable=True))
        batch_op.add_column(
            sa.Column("packed", sa.Boolean(), server_default=sa.text("0"), nullable=False)
        )


def downgrade() -> None:
    # What the old version could not hold.
    op.execute("DELETE FROM handle WHERE user_id IS NULL")
    op.execute(
        "DELETE FROM entry WHERE kind = 'undo' OR id IN"
        " (SELECT undoes_id FROM entry WHERE undoes_id IS NOT NULL)"
    )
    op.execute("DELETE FROM feed WHERE member_id IS NOT NULL")
    op.execute("DELETE FROM keeper WHERE NOT accepted")
    with op.batch_alter_table("tower", schema=None) as batch_op:
        batch_op.drop_column("packed")
        batch_op.drop_column("sown_on")
        batch_op.drop_column("arrives_on")
        batch_op.drop_column("stage")
        batch_op.drop_column("light_w")
        batch_op.drop_column("light_h")
        batch_op.drop_column("pump_l_per_h")
        batch_op.drop_column("timer_step_min")

    with op.batch_alter_table("member", schema=None) as batch_op:
        batch_op.drop_column("home")
        batch_op.drop_column("joined_on")
        batch_op.drop_column("private_answers")
        batch_op.drop_column("quiet_to")
        batch_op.drop_column("quiet_from")

    with op.batch_alter_table("keeper", schema=None) as batch_op:
        batch_op.drop_constraint(batch_op.f("fk_keeper_invited_by_member"), type_="foreignkey")
        batch_op.drop_column("invited_by")
        batch_op.drop_column("accepted")

    with op.batch_alter_table("handle", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_handle_user_id"))
        batch_op.alter_column("user_id", existing_type=sa.BIGINT(), nullable=False)
        batch_op.drop_column("used_at")
        batch_op.drop_column("made_at")

    with op.batch_alter_table("feed", schema=None) as batch_op:
        batch_op.drop_constraint(batch_op.f("fk_feed_member_id_member"), type_="foreignkey")
        batch_op.drop_index(batch_op.f("ix_feed_member_id"))
        batch_op.drop_index(batch_op.f("ix_feed_community_id_name"))
        batch_op.create_unique_constraint(
            batch_op.f("uq_feed_community_id_name"), ["community_id", "name"]
        )
        batch_op.drop_column("member_id")

    with op.batch_alter_table("entry", schema=None) as batch_op:
        batch_op.drop_constraint(batch_op.f("uq_entry_undoes_id"), type_="unique")
        batch_op.drop_index("ix_entry_of_tower")
        batch_op.drop_column("recorded_at")
        batch_op.drop_column("note")

    with op.batch_alter_table("community", schema=None) as batch_op:
        batch_op.drop_column("zone_set")
        batch_op.drop_column("rules_seen")
        batch_op.drop_column("welcome_id")
        batch_op.drop_column("quiet_to")
        batch_op.drop_column("quiet_from")

    op.drop_table("conversation")
    with op.batch_alter_table("note", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_note_community_id"))

    op.drop_table("note")
