#!/bin/sh
# Makes sure that a PostgreSQL server is here for the book's tests; says what to do where it cannot be installed.
set -eu
for program in /usr/lib/postgresql/*/bin/initdb; do
    if [ -x "$program" ]; then exit 0; fi
done
if command -v initdb >/dev/null 2>&1; then exit 0; fi
if ! command -v apt-get >/dev/null 2>&1; then
    echo "the book's tests need PostgreSQL's initdb and postgres: install them with your system's package manager" >&2
    exit 1
fi
as_root=""
if [ "$(id -u)" != 0 ]; then as_root="sudo"; fi
$as_root apt-get update -qq
$as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends postgresql >/dev/null
