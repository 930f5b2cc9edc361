"""What rows said before trials, and the figures that trials leave for the trips of a catalog."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table and the column."""
    op.create_table(
        "catalog_judged",
        sa.Column("uid", sa.String(32), sa.ForeignKey("catalog.uid", ondelete="CASCADE"), primary_key=True),
        sa.Column("tool", sa.String(80), primary_key=True),
        sa.Column("task", sa.String(8), primary_key=True),
        sa.Column("body", sa.Text, nullable=False),
    )
    op.add_column("catalog_revision", sa.Column("assumptions", sa.Text, nullable=True))


def downgrade() -> None:
    """Drop them: rows keep the scores that trials left, and what was judged before is forgotten."""
    op.drop_column("catalog_revision", "assumptions")
    op.drop_table("catalog_judged")
