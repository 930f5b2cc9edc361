"""The tables of the store. What they hold changes only by a migration (api/store/migrations)."""

from sqlalchemy import BigInteger, Column, ForeignKey, Index, Integer, MetaData, String, Table, Text, UniqueConstraint

metadata = MetaData()

catalog_table = Table(
    "catalog",
    metadata,
    Column("uid", String(32), primary_key=True),
    Column("owner", String(80), nullable=False),
    Column("name", String(64), nullable=False),
    Column("revision", Integer, nullable=False),
    UniqueConstraint("owner", "name", name="catalog_owner_name"),
)

revision_table = Table(
    "catalog_revision",
    metadata,
    Column("uid", ForeignKey("catalog.uid", ondelete="CASCADE"), primary_key=True),
    Column("revision", Integer, primary_key=True, autoincrement=False),
    Column("made_at", String(32), nullable=False),
    Column("note", Text, nullable=True),
    Column("tool_count", Integer, nullable=False),
    Column("assumptions", Text, nullable=True),
    Column("intervals", Text, nullable=True),
    Column("by_key", String(16), nullable=True),
)
Index("catalog_revision_by_key", revision_table.c.by_key)

# A row lives from one revision until before another (null = it still does): a revision shares what it does not change.
tool_table = Table(
    "catalog_tool",
    metadata,
    Column("uid", ForeignKey("catalog.uid", ondelete="CASCADE"), primary_key=True),
    Column("id", String(80), primary_key=True),
    Column("from_revision", Integer, primary_key=True, autoincrement=False),
    Column("until_revision", Integer, nullable=True),
    Column("place", Integer, nullable=False),
    Column("body", Text, nullable=False),
    Column("by_key", String(16), nullable=True),
)
Index("catalog_tool_by_key", tool_table.c.by_key)
Index("catalog_tool_living", tool_table.c.uid, tool_table.c.until_revision)

trial_table = Table(
    "catalog_trial",
    metadata,
    Column("uid", ForeignKey("catalog.uid", ondelete="CASCADE"), primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("made_at", String(32), nullable=False),
    Column("body", Text, nullable=False),
    Column("by_key", String(16), nullable=True),
)
Index("catalog_trial_by_key", trial_table.c.by_key)

# What a row said of a score before the trials that it holds now.
judged_table = Table(
    "catalog_judged",
    metadata,
    Column("uid", ForeignKey("catalog.uid", ondelete="CASCADE"), primary_key=True),
    Column("tool", String(80), primary_key=True),
    Column("task", String(8), primary_key=True),
    Column("body", Text, nullable=False),
)

# Who else may read a catalog.
share_table = Table(
    "catalog_share",
    metadata,
    Column("uid", ForeignKey("catalog.uid", ondelete="CASCADE"), primary_key=True),
    Column("reader", String(80), primary_key=True),
    Column("made_at", String(32), nullable=False),
)
Index("catalog_share_by_reader", share_table.c.reader)

key_table = Table(
    "api_key",
    metadata,
    Column("id", String(16), primary_key=True),
    Column("owner", String(80), nullable=False),
    Column("scope", String(8), nullable=False),
    Column("secret_sha256", String(64), nullable=False),
    Column("made_at", String(32), nullable=False),
    Column("revoked_at", String(32), nullable=True),
    Column("expires_at", String(32), nullable=True),
    Column("used_at", String(32), nullable=True),
    Column("rate", String(20), nullable=True),
    Column("most_bytes", BigInteger, nullable=True),
    Column("most_rows", Integer, nullable=True),
    Column("most_revisions", Integer, nullable=True),
)

# Who changed what, when: written in the transaction of the change. Ids are random, so that a restored store goes on.
change_table = Table(
    "change",
    metadata,
    Column("id", String(32), primary_key=True),
    Column("at", String(32), nullable=False),
    Column("owner", String(80), nullable=False),
    Column("key", String(16), nullable=True),
    Column("action", String(16), nullable=False),
    Column("catalog", String(64), nullable=True),
    Column("revision", Integer, nullable=True),
    Column("reader", String(80), nullable=True),
)
Index("change_by_time", change_table.c.at, change_table.c.id)
Index("change_by_owner", change_table.c.owner, change_table.c.at, change_table.c.id)
