"""Passes found by strip, value and finding; their order by the time of the run; entries; answers about columns.

A schema of 0001 kept the local time of the start without its zone: it is read again from the pass file.
"""

import hashlib
import json
import tomllib
from collections import defaultdict
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from alembic import context, op

revision = "0002"
down_revision = "0001"

ANSWERS_FILE = "log-answers.json"


def upgrade() -> None:
    """Make the new tables and columns, and fill them from what the book holds."""
    _new_tables()
    op.add_column("pass_log", sa.Column("is_log", sa.Boolean(), nullable=False, server_default=sa.true()))
    op.add_column("answer", sa.Column("said", sa.String(64), nullable=False, server_default=""))
    # Answers of 0001 left nothing to be found by: they count as out of date until they are made anew.
    op.execute(sa.text("update answer set said = 'schema 0001'"))
    _described_passes()
    _column_answers(Path(context.config.attributes["folder"]) / ANSWERS_FILE)


def _new_tables() -> None:
    passed = sa.ForeignKeyConstraint
    op.create_table(
        "pass_value",
        sa.Column("pass_id", sa.String(32), nullable=False),
        sa.Column("name", sa.String(100), nullable=False),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("number", sa.Float()),
        sa.Column("word", sa.String(200)),
        sa.PrimaryKeyConstraint("pass_id", "name", name="pk_pass_value"),
        passed(["pass_id"], ["pass.id"], name="fk_pass_value_pass_id_pass", ondelete="CASCADE"),
    )
    op.create_index("ix_pass_value_name_number", "pass_value", ["name", "number"])
    op.create_table(
        "pass_finding",
        sa.Column("pass_id", sa.String(32), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(60), nullable=False),
        sa.Column("severity", sa.String(10), nullable=False),
        sa.Column("gear", sa.Integer()),
        sa.PrimaryKeyConstraint("pass_id", "position", name="pk_pass_finding"),
        passed(["pass_id"], ["pass.id"], name="fk_pass_finding_pass_id_pass", ondelete="CASCADE"),
    )
    op.create_index("ix_pass_finding_code", "pass_finding", ["code"])
    op.create_table(
        "column_answer",
        sa.Column("header", sa.String(64), nullable=False),
        sa.Column("column", sa.String(300), nullable=False),
        sa.Column("answer", sa.String(200), nullable=False),
        sa.PrimaryKeyConstraint("header", "column", name="pk_column_answer"),
    )
    op.create_table(
        "entry",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("car_id", sa.String(32), nullable=False),
        sa.Column("pass_id", sa.String(32)),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("subject", sa.String(200), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("state", sa.String(10), nullable=False),
        sa.Column("occasion", sa.String(200), nullable=False),
        sa.Column("number", sa.Float()),
        sa.Column("unit", sa.String(30), nullable=False),
        sa.Column("word", sa.String(500), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("created", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_entry"),
        sa.ForeignKeyConstraint(["car_id"], ["car.id"], name="fk_entry_car_id_car", ondelete="CASCADE"),
        sa.ForeignKeyConstraint(["pass_id"], ["pass.id"], name="fk_entry_pass_id_pass", ondelete="SET NULL"),
    )
    op.create_index("ix_entry_car_id_kind", "entry", ["car_id", "kind"])


def _described_passes() -> None:
    """Columns of a pass that its file and its logs tell."""
    connection = op.get_bind()
    kept = connection.execute(
        sa.text('select id, car_id, number, toml, created, sequence from "pass" order by sequence')
    ).mappings()
    passes = [{**row, **_described(dict(row))} for row in kept]
    logs: dict[str, list[str]] = defaultdict(list)
    for pass_id, checksum in connection.execute(sa.text("select pass_id, sha256 from pass_log order by position")):
        logs[pass_id].append(checksum)
    _new_columns()
    passes.sort(key=lambda row: (row["car_id"], row["ran"], row["number"] or 0, row["sequence"]))
    count: dict[str, int] = defaultdict(int)
    twins: dict[tuple[str, str], int] = defaultdict(int)
    for row in passes:
        count[row["car_id"]] += 1
        # Schema 0001 took the same logs with another pass file for a pass of its own: those stay apart.
        checksums = "\n".join(logs[row["id"]])
        twins[row["car_id"], checksums] += 1
        named = checksums if twins[row["car_id"], checksums] == 1 else f"{checksums}\n{row['id']}"
        connection.execute(
            sa.text(
                'update "pass" set started = :started, ran = :ran, strip = :strip, lane = :lane, sequence = :place,'
                " logs_sha256 = :logs where id = :id"
            ).bindparams(sa.bindparam("ran", type_=sa.DateTime(timezone=True))),
            {
                "id": row["id"],
                "started": row["started"],
                "ran": row["ran"],
                "strip": row["strip"],
                "lane": row["lane"],
                "place": count[row["car_id"]],
                "logs": hashlib.sha256(named.encode()).hexdigest(),
            },
        )
    with op.batch_alter_table("pass") as table:
        table.alter_column("ran", existing_type=sa.DateTime(timezone=True), nullable=False)
        table.create_unique_constraint("uq_pass_car_id_logs_sha256", ["car_id", "logs_sha256"])


def _new_columns() -> None:
    with op.batch_alter_table("pass") as table:
        table.drop_constraint("uq_pass_car_id_content_sha256", type_="unique")
        table.drop_column("started")
        table.add_column(sa.Column("started", sa.String(40), nullable=False, server_default=""))
        table.add_column(sa.Column("ran", sa.DateTime(timezone=True), nullable=True))
        table.add_column(sa.Column("strip", sa.String(200), nullable=False, server_default=""))
        table.add_column(sa.Column("lane", sa.String(200), nullable=False, server_default=""))
        table.add_column(sa.Column("header", sa.String(400), nullable=False, server_default=""))
        table.add_column(sa.Column("logs_sha256", sa.String(64), nullable=False, server_default=""))


def _described(row: dict[str, Any]) -> dict[str, Any]:
    about: dict[str, Any] = {}
    try:
        about = tomllib.loads(row["toml"].replace("\r\n", "\n").removeprefix("\ufeff")).get("pass", {})
    except tomllib.TOMLDecodeError:
        # A pass file that was never read stays as it is.
        about = {}
    started = about.get("started")
    created = row["created"]
    if isinstance(created, str):
        created = datetime.fromisoformat(created)
    ran = started if isinstance(started, datetime) else created
    return {
        "started": started.isoformat() if isinstance(started, datetime) else "",
        "ran": ran.replace(tzinfo=UTC) if ran.tzinfo is None else ran.astimezone(UTC),
        "strip": str(about.get("strip", "")),
        "lane": str(about.get("lane", "")),
    }


def _column_answers(file: Path) -> None:
    """What was said about columns, until now in a file beside the database; the file stays."""
    try:
        kept = json.loads(file.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return
    rows = [
        {"header": header, "column": column, "answer": answer}
        for header, answers in kept.items()
        for column, answer in answers.items()
    ]
    table = sa.table("column_answer", sa.column("header"), sa.column("column"), sa.column("answer"))
    if rows:
        op.bulk_insert(table, rows)
