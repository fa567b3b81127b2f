"""reminders

Revision ID: 0003
Create Date: 2026-11-27 02:25:50.709768
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

import bot.storage.types

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "meta",
        sa.Column("name", sa.String(length=20), nullable=False),
        sa.Column("value", sa.String(length=80), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_meta")),
    )
    op.create_table(
        "post",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("community_id", sa.Integer(), nullable=False),
        sa.Column("member_id", sa.Integer(), nullable=True),
        sa.Column("state", sa.String(length=8), server_default="open", nullable=False),
        sa.Column("made_at", bot.storage.types.UtcTime(), nullable=False),
        sa.Column("owner", sa.String(length=40), nullable=False),
        sa.Column("attempt", sa.Integer(), server_default="1", nullable=False),
        sa.Column("boot", sa.String(length=36), nullable=False),
        sa.Column("lease_until", sa.Float(), nullable=False),
        sa.Column("note", sa.Boolean(), server_default=sa.text("0"), nullable=False),
        sa.Column("stale", sa.Boolean(), server_default=sa.text("0"), nullable=False),
        sa.Column("nonce", sa.String(length=25), nullable=False),
        sa.Column("body", sa.JSON(), nullable=True),
        sa.Column("tried_at", bot.storage.types.UtcTime(), nullable=True),
        sa.Column("tried_mono", sa.Float(), nullable=True),
        sa.Column("failures", sa.Integer(), server_default="0", nullable=False),
        sa.Column("channel_id", sa.BigInteger(), nullable=True),
        sa.Column("message_id", sa.BigInteger(), nullable=True),
        sa.Column("reason", sa.String(length=60), nullable=True),
        sa.ForeignKeyConstraint(
            ["community_id"], ["community.id"], name=op.f("fk_post_community_id_community")
        ),
        sa.ForeignKeyConstraint(
            ["member_id"], ["member.id"], name=op.f("fk_post_member_id_member")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_post")),
    )
    with op.batch_alter_table("post", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_post_member_id"), ["member_id"], unique=False)
        batch_op.create_index("ix_post_open", ["state", "lease_until"], unique=False)

    op.create_table(
        "replan",
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("mark", sa.Integer(), server_default="1", nullable=False),
        sa.ForeignKeyConstraint(
            ["member_id"], ["member.id"], name=op.f("fk_replan_member_id_member")
        ),
        sa.PrimaryKeyConstraint("member_id", name=op.f("pk_replan")),
    )
    op.create_table(
        "rule",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("community_id", sa.Integer(), nullable=False),
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("what", sa.String(length=12), nullable=False),
        sa.Column("text", sa.String(length=200), server_default="", nullable=False),
        sa.Column("room", sa.Boolean(), server_default=sa.text("0"), nullable=False),
        sa.Column("place", sa.String(length=8), nullable=True),
        sa.Column("tower_id", sa.Integer(), nullable=True),
        sa.Column("kind", sa.String(length=8), nullable=False),
        sa.Column("start_local", sa.String(length=16), nullable=True),
        sa.Column("rrule", sa.String(length=120), server_default="", nullable=False),
        sa.Column("zone", sa.String(length=64), nullable=True),
        sa.Column("overflow", sa.String(length=5), server_default="omit", nullable=False),
        sa.Column("late", sa.String(length=6), server_default="send", nullable=False),
        sa.Column("ahead_min", sa.Integer(), server_default="0", nullable=False),
        sa.Column("hour", sa.String(length=5), nullable=True),
        sa.Column("made_at", bot.storage.types.UtcTime(), nullable=False),
        sa.Column("stopped_at", bot.storage.types.UtcTime(), nullable=True),
        sa.ForeignKeyConstraint(
            ["community_id"], ["community.id"], name=op.f("fk_rule_community_id_community")
        ),
        sa.ForeignKeyConstraint(
            ["member_id"], ["member.id"], name=op.f("fk_rule_member_id_member")
        ),
        sa.ForeignKeyConstraint(["tower_id"], ["tower.id"], name=op.f("fk_rule_tower_id_tower")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rule")),
    )
    with op.batch_alter_table("rule", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_rule_community_id_room"), ["community_id", "room"], unique=False
        )
        batch_op.create_index(batch_op.f("ix_rule_member_id"), ["member_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_rule_tower_id"), ["tower_id"], unique=False)

    op.create_table(
        "debt",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("rule_id", sa.Integer(), nullable=False),
        sa.Column("member_id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(length=80), nullable=False),
        sa.Column("due", bot.storage.types.UtcTime(), nullable=False),
        sa.Column("state", sa.String(length=9), server_default="due", nullable=False),
        sa.Column("post_id", sa.Integer(), nullable=True),
        sa.Column("missed", sa.Integer(), server_default="0", nullable=False),
        sa.Column("again", sa.Boolean(), server_default=sa.text("0"), nullable=False),
        sa.Column("sent_at", bot.storage.types.UtcTime(), nullable=True),
        sa.ForeignKeyConstraint(
            ["member_id"], ["member.id"], name=op.f("fk_debt_member_id_member")
        ),
        sa.ForeignKeyConstraint(["post_id"], ["post.id"], name=op.f("fk_debt_post_id_post")),
        sa.ForeignKeyConstraint(["rule_id"], ["rule.id"], name=op.f("fk_debt_rule_id_rule")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_debt")),
        sa.UniqueConstraint(
            "rule_id", "key", "member_id", name=op.f("uq_debt_rule_id_key_member_id")
        ),
    )
    with op.batch_alter_table("debt", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_debt_member_id"), ["member_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_debt_post_id"), ["post_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_debt_state_due"), ["state", "due"], unique=False)

    with op.batch_alter_table("community", schema=None) as batch_op:
        batch_op.add_column(
            sa.Column("room_held", sa.Boolean(), server_default=sa.text("0"), nullable=False)
        )

    with op.batch_alter_table("handle", schema=None) as batch_op:
        batch_op.add_column(sa.Column("community_id", sa.Integer(), nullable=True))

    with op.batch_alter_table("member", schema=None) as batch_op:
        batch_op.add_column(
            sa.Column("evening", sa.String(length=5), server_default="18:30", nullable=False)
        )
        batch_op.add_column(sa.Column("calibrated_on", sa.Date(), nullable=True))
        batch_op.add_column(sa.Column("channel_id", sa.BigInteger(), nullable=True))
        batch_op.add_column(
            sa.Column("closed", sa.Boolean(), server_default=sa.text("0"), nullable=False)
        )
        batch_op.add_column(
            sa.Column("room_notes", sa.Boolean(), server_default=sa.text("0"), nullable=False)
        )
        batch_op.add_column(
            sa.Column("noted", sa.Boolean(), server_default=sa.text("0"), nullable=False)
        )

    with op.batch_alter_table("tower", schema=None) as batch_op:
        batch_op.add_column(sa.Column("moved_in_on", sa.Date(), nullable=True))

    # Everybody is looked at once: what their records owe.
    op.execute("INSERT INTO replan (member_id, mark) SELECT id, 1 FROM member")


def downgrade() -> None:
    with op.batch_alter_table("tower", schema=None) as batch_op:
        batch_op.drop_column("moved_in_on")

    with op.batch_alter_table("member", schema=None) as batch_op:
        batch_op.drop_column("noted")
        batch_op.drop_column("room_notes")
        batch_op.drop_column("closed")
        batch_op.drop_column("channel_id")
        batch_op.drop_column("calibrated_on")
        batch_op.drop_column("evening")

    with op.batch_alter_table("handle", schema=None) as batch_op:
        batch_op.drop_column("community_id")

    with op.batch_alter_table("community", schema=None) as batch_op:
        batch_op.drop_column("room_held")

    with op.batch_alter_table("debt", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_debt_state_due"))
        batch_op.drop_index(batch_op.f("ix_debt_post_id"))
        batch_op.drop_index(batch_op.f("ix_debt_member_id"))

    op.drop_table("debt")
    with op.batch_alter_table("rule", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_rule_tower_id"))
        batch_op.drop_index(batch_op.f("ix_rule_member_id"))
        batch_op.drop_index(batch_op.f("ix_rule_community_id_room"))

    op.drop_table("rule")
    op.drop_table("replan")
    with op.batch_alter_table("post", schema=None) as batch_op:
        batch_op.drop_index("ix_post_open")
        batch_op.drop_index(batch_op.f("ix_post_member_id"))

    op.drop_table("post")
    op.drop_table("meta")
