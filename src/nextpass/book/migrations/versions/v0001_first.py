"""Cars, car files, passes, logs, answers, and what a car remembers."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make the first tables."""
    op.create_table(
        "car",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("created", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_car"),
        sa.UniqueConstraint("name", name="uq_car_name"),
    )
    op.create_table(
        "car_file",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("car_id", sa.String(32), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("created", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_car_file"),
        sa.ForeignKeyConstraint(["car_id"], ["car.id"], name="fk_car_file_car_id_car", ondelete="CASCADE"),
        sa.UniqueConstraint("car_id", "sha256", name="uq_car_file_car_id_sha256"),
    )
    op.create_table(
        "pass",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("car_id", sa.String(32), nullable=False),
        sa.Column("sequence", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer()),
        sa.Column("started", sa.DateTime(timezone=True)),
        sa.Column("fuel", sa.String(100), nullable=False),
        sa.Column("notes", sa.Text(), nullable=False),
        sa.Column("toml", sa.Text(), nullable=False),
        sa.Column("content_sha256", sa.String(64), nullable=False),
        sa.Column("created", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_pass"),
        sa.ForeignKeyConstraint(["car_id"], ["car.id"], name="fk_pass_car_id_car", ondelete="CASCADE"),
        sa.UniqueConstraint("car_id", "content_sha256", name="uq_pass_car_id_content_sha256"),
    )
    op.create_index("ix_pass_car_id_sequence", "pass", ["car_id", "sequence"])
    op.create_table(
        "pass_log",
        sa.Column("pass_id", sa.String(32), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("file_name", sa.String(300), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("pass_id", "position", name="pk_pass_log"),
        sa.ForeignKeyConstraint(["pass_id"], ["pass.id"], name="fk_pass_log_pass_id_pass", ondelete="CASCADE"),
    )
    op.create_table(
        "answer",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("pass_id", sa.String(32), nullable=False),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("program", sa.String(50), nullable=False),
        sa.Column("car_file_id", sa.String(32), nullable=False),
        sa.Column("body", sa.JSON(), nullable=False),
        sa.Column("created", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_answer"),
        sa.ForeignKeyConstraint(["pass_id"], ["pass.id"], name="fk_answer_pass_id_pass", ondelete="CASCADE"),
        sa.ForeignKeyConstraint(
            ["car_file_id"], ["car_file.id"], name="fk_answer_car_file_id_car_file", ondelete="CASCADE"
        ),
        sa.UniqueConstraint("pass_id", "kind", name="uq_answer_pass_id_kind"),
    )
    op.create_table(
        "remembered",
        sa.Column("car_id", sa.String(32), nullable=False),
        sa.Column("subject", sa.String(100), nullable=False),
        sa.Column("body", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("car_id", "subject", name="pk_remembered"),
        sa.ForeignKeyConstraint(["car_id"], ["car.id"], name="fk_remembered_car_id_car", ondelete="CASCADE"),
    )
