"""What keys may do at most, and by which key each row was written."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None

_WRITTEN = ("catalog_revision", "catalog_tool", "catalog_trial")


def upgrade() -> None:
    """Make the columns; what was written before counts for no key."""
    op.add_column("api_key", sa.Column("rate", sa.String(20), nullable=True))
    op.add_column("api_key", sa.Column("most_bytes", sa.BigInteger, nullable=True))
    op.add_column("api_key", sa.Column("most_rows", sa.Integer, nullable=True))
    op.add_column("api_key", sa.Column("most_revisions", sa.Integer, nullable=True))
    for table in _WRITTEN:
        op.add_column(table, sa.Column("by_key", sa.String(16), nullable=True))
        op.create_index(f"{table}_by_key", table, ["by_key"])


def downgrade() -> None:
    """Drop them: keys have no limits any more."""
    for table in _WRITTEN:
        op.drop_index(f"{table}_by_key", table)
        op.drop_column(table, "by_key")
    for name in ("most_revisions", "most_rows", "most_bytes", "rate"):
        op.drop_column("api_key", name)
