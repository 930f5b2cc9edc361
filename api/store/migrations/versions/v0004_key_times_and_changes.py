"""When keys expire and were used last, and who changed what."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the columns and the table."""
    op.add_column("api_key", sa.Column("expires_at", sa.String(32), nullable=True))
    op.add_column("api_key", sa.Column("used_at", sa.String(32), nullable=True))
    op.create_table(
        "change",
        sa.Column("id", sa.String(32), primary_key=True),
        sa.Column("at", sa.String(32), nullable=False),
        sa.Column("owner", sa.String(80), nullable=False),
        sa.Column("key", sa.String(16), nullable=True),
        sa.Column("action", sa.String(16), nullable=False),
        sa.Column("catalog", sa.String(64), nullable=True),
        sa.Column("revision", sa.Integer, nullable=True),
    )
    op.create_index("change_by_time", "change", ["at", "id"])


def downgrade() -> None:
    """Drop them: keys that would have expired no longer do."""
    op.drop_table("change")
    op.drop_column("api_key", "used_at")
    op.drop_column("api_key", "expires_at")
