#!/bin/sh
# Installs what Mustwright needs from the system: PostgreSQL's programs (no server of the system is set up) and a C
# compiler for building. Run again, it does nothing.
#
#   sh docker/setup.sh            to build and run
#   sh docker/setup.sh --run      to run what was built elsewhere: without the compiler
#   sh docker/setup.sh --tests    to test as well: a browser, its driver, the accessibility checker, and what holds the
#                                 API against its description and reads feeds
set -eu

here=$(cd "$(dirname "$0")" && pwd)
checker_version=4.14.1
checker_sum=29348999450cdf2849a8e70b7912fc2da85a849da39c0d0d5394f51d4a9ed95c

build=yes tests=no
for word in "$@"; do
    case $word in
        --run) build=no ;;
        --tests) tests=yes ;;
        *) echo "usage: sh docker/setup.sh [--run | --tests]" >&2; exit 2 ;;
    esac
done

say() { echo "setup: $*"; }
fail() { echo "setup: $*" >&2; exit 1; }
has() { command -v "$1" >/dev/null 2>&1; }

# True when one of the supported majors is where Mustwright looks for it.
has_postgres() {
    for dir in "${MUSTWRIGHT_POSTGRES_BIN:-}" /usr/lib/postgresql/*/bin /usr/libexec/postgresql* /usr/pgsql-*/bin \
        /opt/homebrew/opt/postgresql@*/bin /usr/local/opt/postgresql@*/bin $(echo "$PATH" | tr ':' ' '); do
        [ -x "$dir/postgres" ] && [ -x "$dir/initdb" ] || continue
        case $("$dir/postgres" --version) in
            *' 14'*|*' 15'*|*' 16'*|*' 17'*) return 0 ;;
        esac
    done
    return 1
}

has_compiler() { has cc && echo 'int main(void) { return 0; }' | cc -x c - -o /dev/null 2>/dev/null; }
has_browser() { has chromium || has chromium-browser || has google-chrome; }
has_fonts() { [ -n "$(find /usr/share/fonts -name '*.ttf' -print 2>/dev/null | head -n 1)" ]; }
checker="$here/../target/axe/axe.min.js"
has_checker() {
    [ -f "$checker" ] || return 1
    if has sha256sum; then sum=$(sha256sum "$checker"); else sum=$(shasum -a 256 "$checker"); fi
    [ "${sum%% *}" = "$checker_sum" ]
}
checks="$here/../target/checks"
has_venv() { python3 -c 'import ensurepip, venv' 2>/dev/null; }
# True when exactly the versions written down are there.
has_checks() {
    [ -x "$checks/bin/python" ] || return 1
    there=$("$checks/bin/python" -m pip --disable-pip-version-check freeze 2>/dev/null) || return 1
    while read -r wanted; do
        case $wanted in
            ''|'#'*) ;;
            *) echo "$there" | grep -Fxq "$wanted" || return 1 ;;
        esac
    done <"$here/checks.txt"
}

missing=
need() { missing="$missing $1"; }
has_postgres || need postgresql
if [ $build = yes ]; then
    has_compiler || need compiler
fi
if [ $tests = yes ]; then
    has_browser || need browser
    has chromedriver || need driver
    has_fonts || need fonts
    has psql || need psql
    has_checker || has npm || need npm
    has_checks || has_venv || need venv
fi

as_root() {
    if [ "$(id -u)" = 0 ]; then
        "$@"
    elif has sudo; then
        sudo "$@"
    else
        fail "this wants root: run it as root, or install sudo"
    fi
}

if [ -n "$missing" ] && ! has apt-get; then
    echo "setup: still missing:$missing" >&2
    if has dnf; then
        fail "install by: dnf install postgresql-server postgresql-contrib gcc chromium chromedriver dejavu-sans-fonts npm python3"
    elif has brew; then
        fail "install by: brew install postgresql@17 npm python chromedriver && brew install --cask chromium"
    fi
    fail "this script knows Debian and its relatives; install these with your system's own means: PostgreSQL 14 to 17
with its contributed modules, a C compiler, and for the tests chromium, chromedriver, a font, psql, npm and Python 3 with its venv"
fi

# What the packages say is of interest only when they fail.
quietly() {
    log=$(mktemp)
    if "$@" >"$log" 2>&1; then
        rm -f "$log"
    else
        cat "$log" >&2
        rm -f "$log"
        fail "this failed: $*"
    fi
}

install() {
    say "installing $*"
    quietly as_root env DEBIAN_FRONTEND=noninteractive apt-get -y --no-install-recommends \
        -o DPkg::Lock::Timeout=300 -o Dpkg::Use-Pty=0 install "$@"
}

# Debian's server package sets up and starts a cluster of its own, which Mustwright has no use for.
install_postgres() {
    install postgresql-common
    conf=/etc/postgresql-common/createcluster.conf
    if ! grep -Eqs '^[[:space:]]*create_main_cluster' "$conf"; then
        as_root sh -c "echo 'create_main_cluster = false' >> '$conf'"
    fi
    for major in 17 16 15 14; do
        if [ -n "$(apt-cache madison "postgresql-$major" 2>/dev/null)" ]; then
            # The authorities, for a database that is far and proves who it is.
            install "postgresql-$major" ca-certificates
            return
        fi
    done
    fail "this system offers none of PostgreSQL 14 to 17: use DATABASE_URL or docker/compose.yaml"
}

if [ -n "$missing" ]; then
    say "missing:$missing"
    quietly as_root apt-get -o DPkg::Lock::Timeout=300 update
    for thing in $missing; do
        case $thing in
            postgresql) install_postgres ;;
            compiler) install gcc libc6-dev ;;
            browser) install chromium ;;
            driver) install chromium-driver ;;
            fonts) install fonts-dejavu-core ;;
            psql) install postgresql-client ;;
            npm) install npm ca-certificates ;;
            venv) install python3 python3-venv ca-certificates ;;
        esac
    done
fi

# The accessibility checker that the browser tests load into each page.
if [ $tests = yes ] && ! has_checker; then
    say "fetching axe-core $checker_version"
    mkdir -p "$(dirname "$checker")"
    place=$(mktemp -d)
    trap 'rm -rf "$place"' EXIT
    # Node brings authorities of its own; those that this machine trusts count as well.
    authorities=/etc/ssl/certs/ca-certificates.crt
    if [ -z "${NODE_EXTRA_CA_CERTS:-}" ] && [ -f $authorities ]; then
        export NODE_EXTRA_CA_CERTS=$authorities
    fi
    (cd "$place" && quietly npm pack --loglevel=error "axe-core@$checker_version")
    tar -xzf "$place/axe-core-$checker_version.tgz" -C "$place" package/axe.min.js
    mv "$place/package/axe.min.js" "$checker"
    has_checker || fail "$checker is not what axe-core $checker_version was when this was written"
fi

# What the tests of the API and of feeds ask for a second opinion.
if [ $tests = yes ] && ! has_checks; then
    say "fetching schemathesis and feedparser"
    rm -rf "$checks"
    quietly python3 -m venv "$checks"
    # As above: what this machine trusts counts.
    authorities=/etc/ssl/certs/ca-certificates.crt
    if [ -z "${PIP_CERT:-}" ] && [ -f $authorities ]; then
        export PIP_CERT=$authorities
    fi
    quietly "$checks/bin/python" -m pip --disable-pip-version-check install --no-input -r "$here/checks.txt"
    has_checks || fail "$checks does not hold the versions that docker/checks.txt names"
fi

say "all is there"
