"""Questions that are answered later."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table."""
    op.create_table(
        "answer_job",
        sa.Column("id", sa.String(32), primary_key=True),
        sa.Column("owner", sa.String(80), nullable=False),
        sa.Column("key", sa.String(16), nullable=True),
        sa.Column("state", sa.String(9), nullable=False),
        sa.Column("made_at", sa.String(32), nullable=False),
        sa.Column("started_at", sa.String(32), nullable=True),
        sa.Column("ended_at", sa.String(32), nullable=True),
        sa.Column("expires_at", sa.String(32), nullable=False),
        sa.Column("attempts", sa.Integer, nullable=False),
        sa.Column("taken_by", sa.String(32), nullable=True),
        sa.Column("lease_until", sa.String(32), nullable=True),
        sa.Column("solves", sa.Integer, nullable=False),
        sa.Column("worked_s", sa.Float, nullable=False),
        sa.Column("status", sa.Integer, nullable=True),
        sa.Column("held_bytes", sa.Integer, nullable=False),
        sa.Column("idempotency_key", sa.String(200), nullable=True),
        sa.Column("asked_sha256", sa.String(64), nullable=False),
        sa.Column("path", sa.String(200), nullable=False),
        sa.Column("query", sa.Text, nullable=False),
        sa.Column("headers", sa.Text, nullable=False),
        sa.Column("answer_headers", sa.Text, nullable=True),
        sa.Column("body", sa.LargeBinary, nullable=False),
        sa.Column("answer", sa.LargeBinary, nullable=True),
        sa.UniqueConstraint("owner", "idempotency_key", name="answer_job_once"),
    )
    op.create_index("answer_job_by_state", "answer_job", ["state", "id"])
    op.create_index("answer_job_by_owner", "answer_job", ["owner", "id"])


def downgrade() -> None:
    """Drop it: what was asked and not yet answered is forgotten, as are the answers that nobody fetched."""
    op.drop_table("answer_job")
