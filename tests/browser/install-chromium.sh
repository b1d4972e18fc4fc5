#!/bin/sh
# Makes sure that a Chromium is here for the browser tests; says what to do where it cannot be installed.
set -eu
if command -v chromium >/dev/null 2>&1; then exit 0; fi
if ! command -v apt-get >/dev/null 2>&1; then
    echo "browser tests need chromium on the PATH: install it with your system's package manager" >&2
    exit 1
fi
as_root=""
if [ "$(id -u)" != 0 ]; then as_root="sudo"; fi
$as_root apt-get update -qq
$as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends chromium >/dev/null
