"""Catalogs with their revisions, tools and trials; keys."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "catalog",
        sa.Column("uid", sa.String(32), primary_key=True),
        sa.Column("owner", sa.String(80), nullable=False),
        sa.Column("name", sa.String(64), nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.UniqueConstraint("owner", "name", name="catalog_owner_name"),
    )
    op.create_table(
        "catalog_revision",
        of_catalog(),
        sa.Column("revision", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("made_at", sa.String(32), nullable=False),
        sa.Column("note", sa.Text, nullable=True),
        sa.Column("tool_count", sa.Integer, nullable=False),
    )
    op.create_table(
        "catalog_tool",
        of_catalog(),
        sa.Column("id", sa.String(80), primary_key=True),
        sa.Column("from_revision", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("until_revision", sa.Integer, nullable=True),
        sa.Column("place", sa.Integer, nullable=False),
        sa.Column("body", sa.Text, nullable=False),
    )
    op.create_index("catalog_tool_living", "catalog_tool", ["uid", "until_revision"])
    op.create_table(
        "catalog_trial",
        of_catalog(),
        sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("made_at", sa.String(32), nullable=False),
        sa.Column("body", sa.Text, nullable=False),
    )
    op.create_table(
        "api_key",
        sa.Column("id", sa.String(16), primary_key=True),
        sa.Column("owner", sa.String(80), nullable=False),
        sa.Column("scope", sa.String(8), nullable=False),
        sa.Column("secret_sha256", sa.String(64), nullable=False),
        sa.Column("made_at", sa.String(32), nullable=False),
        sa.Column("revoked_at", sa.String(32), nullable=True),
    )


def of_catalog() -> "sa.Column[str]":
    """Return the column by which a row belongs to a catalog, and goes with it."""
    return sa.Column("uid", sa.String(32), sa.ForeignKey("catalog.uid", ondelete="CASCADE"), primary_key=True)


def downgrade() -> None:
    """Drop the tables, and all that was stored."""
    for table in ("api_key", "catalog_trial", "catalog_tool", "catalog_revision", "catalog"):
        op.drop_table(table)
