"""The intervals of the figures that trips take from a catalog."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the column."""
    op.add_column("catalog_revision", sa.Column("intervals", sa.Text, nullable=True))


def downgrade() -> None:
    """Drop it: the figures stay, how well they are known is forgotten."""
    op.drop_column("catalog_revision", "intervals")
