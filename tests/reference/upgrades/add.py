#!/usr/bin/env python3
"""Adds rows for the tables of new migrations, and their hashes to the list of released ones.

    PGHOST=... PGUSER=postgres python3 tests/reference/upgrades/add.py FILLED

FILLED names a database with the newest schema and rows in every table (the demonstration's, say; where it leaves a table
empty, write its rows by hand). For each migration that makes tables and has no file here, a few rows of them are written
into NUMBER.sql, with the columns that they had then. PGHOST and the others say where a superuser of PostgreSQL comes in.
"""

import hashlib
import json
import pathlib
import subprocess
import sys

HERE = pathlib.Path(__file__).resolve().parent
MIGRATIONS = HERE.parent.parent.parent / "migrations"
LIST = HERE / "released.txt"
SCRATCH = "mustwright_upgrades"
ROWS = 2


def psql(database, statement, *more):
    command = ["psql", "-X", "-q", "-A", "-t", "-v", "ON_ERROR_STOP=1", "-d", database, *more]
    done = subprocess.run(command, input=statement, capture_output=True, text=True)
    if done.returncode:
        sys.exit(f"{statement[:300]}\n{done.stderr}")
    return done.stdout


def read(database, statement):
    """Rows of text, each as a list."""
    told = psql(database, f"select to_json(array[{statement[0]}]::text[]) from {statement[1]};")
    return [json.loads(line) for line in told.splitlines() if line]


def tables(database):
    """Each table with its columns."""
    found = read(database, (
        "quote_ident(relname), quote_ident(attname)",
        "pg_class c join pg_attribute a on attrelid = c.oid where relnamespace = 'public'::regnamespace "
        "and relkind = 'r' and attnum > 0 and not attisdropped and attgenerated = '' and relname <> '_sqlx_migrations' "
        "order by relname, attnum"))
    columns = {}
    for table, column in found:
        columns.setdefault(table, []).append(column)
    return columns


def pick(filled, known):
    """A few rows of each table, and all that they point to."""
    pointers = read(filled, (
        "quote_ident(c.relname), quote_ident(p.relname), "
        "(select string_agg(quote_ident(attname), ',' order by n) from unnest(conkey) with ordinality k(num, n) "
        " join pg_attribute on attrelid = conrelid and attnum = num), "
        "(select string_agg(quote_ident(attname), ',' order by n) from unnest(confkey) with ordinality k(num, n) "
        " join pg_attribute on attrelid = confrelid and attnum = num)",
        "pg_constraint f join pg_class c on c.oid = conrelid join pg_class p on p.oid = confrelid where contype = 'f'"))
    rows = {
        table: read(filled, (", ".join(f"{column}::text" for column in columns),
                             f"{table} t order by pg_column_size(t.*), t::text limit 4000"))
        for table, columns in known.items()
    }
    chosen = {table: [] for table in known}
    waiting = [(table, row) for table in known for row in rows[table][:ROWS]]
    while waiting:
        table, row = waiting.pop()
        if row in chosen[table]:
            continue
        chosen[table].append(row)
        for child, parent, here, there in pointers:
            if child != table:
                continue
            values = [row[known[table].index(column)] for column in here.split(",")]
            if None in values:
                continue
            places = [known[parent].index(column) for column in there.split(",")]
            found = [other for other in rows[parent] if [other[place] for place in places] == values]
            if not found:
                sys.exit(f"{table} points to nothing in {parent}: {values}")
            waiting.extend((parent, other) for other in found)
    return chosen


def inserts(database, table, columns, known, chosen):
    """The chosen rows with these columns, as a statement that leaves alone what migrations made of earlier rows."""
    key = psql(database, f"select string_agg(quote_ident(attname), ', ') from pg_index join pg_attribute "
                         f"on attrelid = indrelid and attnum = any(indkey) where indisprimary "
                         f"and indrelid = 'public.{table}'::regclass;").strip()
    lines = []
    for row in sorted(chosen[table], key=str):
        values = [row[known[table].index(column)] for column in columns]
        quoted = ["null" if value is None else "'" + value.replace("'", "''") + "'" for value in values]
        lines.append(f"({', '.join(quoted)})")
    if not lines:
        return None
    return (f"insert into {table} ({', '.join(columns)}) overriding system value values\n" + ",\n".join(lines)
            + f"\non conflict ({key}) do nothing;\n")


def main(filled):
    known = tables(filled)
    chosen = pick(filled, known)
    psql("postgres", f"drop database if exists {SCRATCH} with (force);")
    psql("postgres", f"create database {SCRATCH};")
    listed = LIST.read_text().splitlines() if LIST.exists() else []
    names = {line.split()[1] for line in listed}
    before, missing = {}, []
    for file in sorted(MIGRATIONS.glob("*.sql")):
        psql(SCRATCH, "", "--single-transaction", "-f", str(file))
        now = tables(SCRATCH)
        rows = HERE / f"{file.name.split('_')[0]}.sql"
        new = [table for table in now if table not in before]
        if new and not rows.exists():
            written = []
            for table in new:
                columns = [column for column in now[table] if column in known.get(table, [])]
                text = inserts(SCRATCH, table, columns, known, chosen) if table in known else None
                if text is None:
                    missing.append(f"{rows.name}: write rows of {table} by hand")
                else:
                    written.append(text)
            if written:
                rows.write_text(f"-- Rows for what {file.name} makes, as they were then.\n\n" + "\n".join(written))
        before = now
        if file.name not in names:
            listed.append(f"{hashlib.sha256(file.read_bytes()).hexdigest()}  {file.name}")
    psql("postgres", f"drop database {SCRATCH};")
    listed.sort(key=lambda line: line.split()[1])
    LIST.write_text("\n".join(listed) + "\n")
    for line in missing:
        print(line)


if __name__ == "__main__":
    main(sys.argv[1])
