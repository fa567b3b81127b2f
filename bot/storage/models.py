"""The tables. Column names are those of the exchange form: one vocabulary everywhere."""

from __future__ import annotations

from sqlalchemy import (
    JSON,
    BigInteger,
    Boolean,
    Column,
    Date,
    Float,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    UniqueConstraint,
    false,
    true,
)

from bot.storage.types import UtcTime

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
        "pk": "pk_%(table_name)s",
    }
)

community = Table(
    "community",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("guild_id", BigInteger, nullable=False, unique=True),
    Column("name", String(100), nullable=False),
    Column("room_id", BigInteger),
    Column("time_zone", String(64), nullable=False, server_default="UTC"),
    Column("units", String(8), nullable=False, server_default="us"),
    Column("coach", String(100)),
    Column("quiet_from", String(5)),
    Column("quiet_to", String(5)),
    Column("welcome_id", BigInteger),
    Column("rules_seen", Boolean, nullable=False, server_default=false()),
    Column("zone_set", Boolean, nullable=False, server_default=false()),
    # reminders for the room wait: it is gone, or closed to us
    Column("room_held", Boolean, nullable=False, server_default=false()),
    # since when the bot is no member of it any more
    Column("left_at", UtcTime),
)

member = Table(
    "member",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("community_id", ForeignKey("community.id"), nullable=False),
    Column("user_id", BigInteger, nullable=False),
    Column("name", String(100), nullable=False),
    Column("role", String(8), nullable=False, server_default="member"),
    Column("units", String(8), nullable=False),
    Column("time_zone", String(64), nullable=False),
    Column("gallon", String(2)),
    Column("tds_scale", Integer),
    Column("finger_mm", Float),
    Column("jug_l", Float),
    Column("drops_per_ml", Float),
    Column("has_ec_meter", Boolean),
    Column("morning", String(5), nullable=False, server_default="08:00"),
    Column("evening", String(5), nullable=False, server_default="18:30"),
    Column("currency", String(3), nullable=False, server_default="USD"),
    Column("quiet_from", String(5)),
    Column("quiet_to", String(5)),
    Column("private_answers", Boolean, nullable=False, server_default=false()),
    Column("joined_on", Date),
    # where private messages of someone in several communities belong
    Column("home", Boolean, nullable=False, server_default=false()),
    Column("calibrated_on", Date),
    # the private channel once it was opened; closed: the person takes no messages there
    Column("channel_id", BigInteger),
    Column("closed", Boolean, nullable=False, server_default=false()),
    # may be told in the room, without any number, that a reminder waits; and was told
    Column("room_notes", Boolean, nullable=False, server_default=false()),
    Column("noted", Boolean, nullable=False, server_default=false()),
    UniqueConstraint("community_id", "user_id"),
    Index(None, "user_id"),
)

feed = Table(
    "feed",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("community_id", ForeignKey("community.id"), nullable=False),
    Column("name", String(64), nullable=False),
    Column("parts", JSON, nullable=False),
    Column("ec_gain_ms_per_cm", Float),
    Column("set_on", Date),
    # the member whose own bottle it is; the coach's feeds have none
    Column("member_id", ForeignKey("member.id"), index=True),
    Index(None, "community_id", "name"),
)

tower = Table(
    "tower",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("community_id", ForeignKey("community.id"), nullable=False),
    Column("name", String(32), nullable=False),
    Column("tank_l", Float, nullable=False),
    Column("full_depth_cm", Float),
    Column("place", String(8)),
    Column("target_ec", Float),
    Column("water_ec", Float),
    Column("strength", Float),
    Column("pump_min_l", Float),
    Column("refill_at_fraction", Float),
    Column("levels", Integer),
    Column("ports_per_level", Integer),
    Column("feed", String(64)),
    Column("timer_kind", String(8)),
    Column("timer_step_min", Float),
    Column("timer_on_min", Float),
    Column("timer_off_min", Float),
    Column("pump_w", Float),
    Column("pump_l_per_h", Float),
    Column("light_ppfd", Float),
    Column("light_h", Float),
    Column("light_w", Float),
    Column("water", String(12)),
    Column("hardness_mg_per_l", Float),
    Column("alkalinity_mg_per_l", Float),
    Column("stage", String(8)),
    Column("arrives_on", Date),
    Column("sown_on", Date),
    Column("moved_in_on", Date),
    Column("set_on", Date),
    # [[L, cm], ...] by the jug, lowest first
    Column("jug_marks", JSON),
    # what its fills have shown its feed to add against the label, from how many, and since when
    # they count anew
    Column("gain_factor", Float),
    Column("learned_fills", Integer),
    Column("learned_on", Date),
    Column("packed", Boolean, nullable=False, server_default=false()),
)

keeper = Table(
    "keeper",
    metadata,
    Column("member_id", ForeignKey("member.id"), primary_key=True),
    Column("tower_id", ForeignKey("tower.id"), primary_key=True, index=True),
    # an invitation until the person has said yes
    Column("accepted", Boolean, nullable=False, server_default=true()),
    Column("invited_by", ForeignKey("member.id", ondelete="SET NULL")),
)

policy = Table(
    "policy",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("community_id", ForeignKey("community.id"), nullable=False, index=True),
    Column("key", String(40), nullable=False),
    Column("value", Float),
    Column("set_on", Date, nullable=False),
    Column("by", String(100)),
)

entry = Table(
    "entry",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("tower_id", ForeignKey("tower.id"), nullable=False),
    Column("member_id", ForeignKey("member.id")),
    Column("at", UtcTime, nullable=False),
    Column("kind", String(8), nullable=False),
    Column("level_l", Float),
    Column("ec", Float),
    Column("ph", Float),
    Column("water_c", Float),
    Column("water_added_l", Float),
    Column("amounts", JSON),
    # of a harvest: crop, grams, pieces
    Column("picked", JSON),
    Column("note", String(200)),
    Column("recorded_at", UtcTime, nullable=False),
    Column("undoes_id", ForeignKey("entry.id"), unique=True),
    Index(None, "tower_id", "at"),
    Index("ix_entry_of_tower", "tower_id"),
)

planting = Table(
    "planting",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("tower_id", ForeignKey("tower.id"), nullable=False, index=True),
    Column("level", Integer, nullable=False),
    Column("port", Integer, nullable=False),
    Column("crop", String(40), nullable=False),
    Column("plants", Integer, nullable=False, server_default="1"),
    Column("sown", Date),
    Column("planted", Date),
    # the lines of the log that tell of its beginning and its end: undone, they did not happen
    Column("begun_by", ForeignKey("entry.id"), index=True),
    Column("ended_by", ForeignKey("entry.id"), index=True),
    # of one from a file, which has no line: how it ended; else how `ended_by` says it did
    Column("status", String(9), nullable=False, server_default="growing"),
)

forecast = Table(
    "forecast",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("tower_id", ForeignKey("tower.id"), nullable=False),
    # the newest line behind it; a plain number: what is told of a line outlives it
    Column("entry_id", Integer, nullable=False),
    Column("made_at", UtcTime, nullable=False),
    # "refill" | "pump_line"
    Column("what", String(9), nullable=False),
    Column("mark_l", Float, nullable=False),
    Column("level_l", Float, nullable=False),
    Column("likely", UtcTime, nullable=False),
    Column("early", UtcTime, nullable=False),
    Column("late", UtcTime, nullable=False),
    Column("readings", Integer, nullable=False),
    # "open" | "hit" | "early" | "late" | "void"
    Column("outcome", String(5), nullable=False, server_default="open"),
    UniqueConstraint("tower_id", "entry_id", "what"),
    Index(None, "tower_id", "outcome"),
)

supply = Table(
    "supply",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("member_id", ForeignKey("member.id"), nullable=False, index=True),
    Column("item", String(40), nullable=False),
    Column("left", Float, nullable=False),
    Column("unit", String(5), nullable=False),
    Column("size", Float),
    Column("week", Float),
    Column("lead_days", Integer),
    Column("at", UtcTime, nullable=False),
)

note = Table(
    "note",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("community_id", ForeignKey("community.id"), nullable=False, index=True),
    Column("about", String(100), nullable=False),
    Column("text", String(1500)),
    Column("by", String(100)),
    Column("set_on", Date, nullable=False),
    Column("replaces_id", ForeignKey("note.id"), unique=True),
)

# what a member asked that only the coach can answer; gone once it is answered or put aside
waiting = Table(
    "waiting",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("community_id", ForeignKey("community.id"), nullable=False, index=True),
    Column("member_id", ForeignKey("member.id"), nullable=False, index=True),
    Column("text", String(300), nullable=False),
    Column("at", UtcTime, nullable=False),
    Column("count", Integer, nullable=False, server_default="1"),
)

conversation = Table(
    "conversation",
    metadata,
    Column("member_id", ForeignKey("member.id"), primary_key=True),
    Column("guild_id", BigInteger, primary_key=True, autoincrement=False),
    Column("question", JSON, nullable=False),
    Column("field", String(16), nullable=False),
    Column("at", UtcTime, nullable=False),
)

seen_interaction = Table(
    "seen_interaction",
    metadata,
    Column("id", BigInteger, primary_key=True, autoincrement=False),
    Column("at", UtcTime, nullable=False, index=True),
)

handle = Table(
    "handle",
    metadata,
    Column("id", String(26), primary_key=True),
    Column("guild_id", BigInteger),
    # of a private button: which community it is about
    Column("community_id", Integer),
    # nobody: whoever may see the message, in that community
    Column("user_id", BigInteger, index=True),
    Column("action", JSON, nullable=False),
    Column("made_at", UtcTime, nullable=False),
    Column("used_at", UtcTime),
    Column("expires_at", UtcTime, nullable=False, index=True),
)

audit = Table(
    "audit",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("community_id", ForeignKey("community.id"), nullable=False),
    Column("member_id", ForeignKey("member.id")),
    Column("at", UtcTime, nullable=False),
    Column("what", String(40), nullable=False),
    Column("detail", JSON, nullable=False),
    Index(None, "community_id", "at"),
)

rule = Table(
    "rule",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("community_id", ForeignKey("community.id"), nullable=False),
    Column("member_id", ForeignKey("member.id"), nullable=False, index=True),
    Column("what", String(12), nullable=False),
    Column("text", String(200), nullable=False, server_default=""),
    Column("room", Boolean, nullable=False, server_default=false()),
    Column("place", String(8)),
    Column("tower_id", ForeignKey("tower.id"), index=True),
    # "wall" | "elapsed" | "fact"
    Column("kind", String(8), nullable=False),
    Column("start_local", String(16)),
    Column("rrule", String(120), nullable=False, server_default=""),
    Column("zone", String(64)),
    Column("overflow", String(5), nullable=False, server_default="omit"),
    Column("late", String(6), nullable=False, server_default="send"),
    Column("ahead_min", Integer, nullable=False, server_default="0"),
    Column("hour", String(5)),
    Column("made_at", UtcTime, nullable=False),
    Column("stopped_at", UtcTime),
    Index(None, "community_id", "room"),
)

post = Table(
    "post",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("community_id", ForeignKey("community.id"), nullable=False),
    # nobody: for the room
    Column("member_id", ForeignKey("member.id"), index=True),
    # "open" | "sent" | "void" | "failed"
    Column("state", String(8), nullable=False, server_default="open"),
    Column("made_at", UtcTime, nullable=False),
    # who may send it, until when by the machine's monotonic clock, and the fence
    Column("owner", String(40), nullable=False),
    Column("attempt", Integer, nullable=False, server_default="1"),
    Column("boot", String(36), nullable=False),
    Column("lease_until", Float, nullable=False),
    # a word in the room for one who cannot be reached in private: it pays no debt
    Column("note", Boolean, nullable=False, server_default=false()),
    # something of it was stopped or changed since it was put into words
    Column("stale", Boolean, nullable=False, server_default=false()),
    # what a repeat is known by at the platform; never used for another post, whatever is deleted
    Column("nonce", String(25), nullable=False),
    Column("body", JSON),
    Column("tried_at", UtcTime),
    Column("tried_mono", Float),
    Column("failures", Integer, nullable=False, server_default="0"),
    Column("channel_id", BigInteger),
    Column("message_id", BigInteger),
    Column("reason", String(60)),
    Index("ix_post_open", "state", "lease_until"),
)

debt = Table(
    "debt",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("rule_id", ForeignKey("rule.id"), nullable=False),
    Column("member_id", ForeignKey("member.id"), nullable=False, index=True),
    Column("key", String(80), nullable=False),
    Column("due", UtcTime, nullable=False),
    # "due" | "posted" | "sent" | "done" | "folded" | "held" | "withdrawn" | "stopped" | "failed"
    Column("state", String(9), nullable=False, server_default="due"),
    Column("post_id", ForeignKey("post.id"), index=True),
    Column("missed", Integer, nullable=False, server_default="0"),
    Column("again", Boolean, nullable=False, server_default=false()),
    Column("sent_at", UtcTime),
    # of one set aside ("failed"), why; of one "held", "left": while the bot is out of the community
    Column("reason", String(20)),
    UniqueConstraint("rule_id", "key", "member_id"),
    Index(None, "state", "due"),
)

# Whose facts may owe something else by now: marked in the transaction that changed them.
replan = Table(
    "replan",
    metadata,
    Column("member_id", ForeignKey("member.id"), primary_key=True),
    Column("mark", Integer, nullable=False, server_default="1"),
)

meta = Table(
    "meta",
    metadata,
    Column("name", String(20), primary_key=True),
    Column("value", String(80), nullable=False),
)
