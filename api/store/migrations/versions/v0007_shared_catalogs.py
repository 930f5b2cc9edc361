"""Catalogs that other owners may read."""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table and the column."""
    op.create_table(
        "catalog_share",
        sa.Column("uid", sa.String(32), sa.ForeignKey("catalog.uid", ondelete="CASCADE"), primary_key=True),
        sa.Column("reader", sa.String(80), primary_key=True),
        sa.Column("made_at", sa.String(32), nullable=False),
    )
    op.create_index("catalog_share_by_reader", "catalog_share", ["reader"])
    op.add_column("change", sa.Column("reader", sa.String(80), nullable=True))


def downgrade() -> None:
    """Drop them: nobody reads another owner's catalogs any more."""
    op.drop_column("change", "reader")
    op.drop_table("catalog_share")
