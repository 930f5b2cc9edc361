"""An index by which the oldest changes of an owner are found."""

from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the index."""
    op.create_index("change_by_owner", "change", ["owner", "at", "id"])


def downgrade() -> None:
    """Drop it: an earlier release keeps all changes."""
    op.drop_index("change_by_owner", "change")
