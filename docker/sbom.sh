#!/bin/sh
# Writes what the server is built from, at the versions that Cargo.lock holds, as a CycloneDX 1.6 document (JSON) to the
# standard output. The same source gives the same bytes: there is no date in it. What is only needed while building (macros,
# build scripts) has the scope "excluded".
#
#   sh docker/sbom.sh                      for this machine's platform
#   sh docker/sbom.sh --target TRIPLE      for another
set -eu

cd "$(dirname "$0")/.."
cargo=${CARGO:-cargo}
place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT

"$cargo" tree --locked "$@" -e normal,no-proc-macro --prefix none -f '{p}' >"$place/linked"
"$cargo" tree --locked "$@" -e normal,build --prefix depth -f ' {p} | {l} | {r}' >"$place/tree"

awk '
function quoted(text) {
    gsub(/\\/, "\\\\", text)
    gsub(/"/, "\\\"", text)
    return "\"" text "\""
}
# "name v1.2.3 (proc-macro)" and the like as the address by which packages are known.
function address(words, part) {
    split(words, part, " ")
    return "pkg:cargo/" part[1] "@" substr(part[2], 2)
}
function licensed(at) {
    return "\"licenses\":[{\"expression\":" quoted(license[at]) "}]"
}
FILENAME ~ /linked$/ { linked[address($0)] = 1; next }
FILENAME ~ /Cargo.lock$/ {
    if ($1 == "name") { split($0, cell, "\""); name = cell[2] }
    if ($1 == "version") { split($0, cell, "\""); version = cell[2] }
    if ($1 == "checksum") { split($0, cell, "\""); sum["pkg:cargo/" name "@" version] = cell[2] }
    next
}
{
    depth = $1
    split($0, cell, " [|] ?")
    sub(/^[0-9]+ /, "", cell[1])
    at = address(cell[1])
    above[depth] = at
    if (!(at in license)) {
        order[++count] = at
        split(cell[1], part, " ")
        called[at] = part[1]
        numbered[at] = substr(part[2], 2)
        license[at] = cell[2]
        gsub("/", " OR ", license[at])
        source[at] = cell[3]
    }
    if (depth > 0 && !((above[depth - 1], at) in edge)) {
        edge[above[depth - 1], at] = 1
        wants[above[depth - 1]] = wants[above[depth - 1]] (above[depth - 1] in some ? "," : "") quoted(at)
        some[above[depth - 1]] = 1
    }
}
END {
    root = order[1]
    print "{\"bomFormat\":\"CycloneDX\",\"specVersion\":\"1.6\",\"version\":1,"
    print "\"metadata\":{\"component\":{\"type\":\"application\",\"bom-ref\":" quoted(root) ",\"name\":" quoted(called[root]) ",\"version\":" quoted(numbered[root]) "," licensed(root) "}},"
    print "\"components\":["
    for (i = 2; i <= count; i++) {
        at = order[i]
        line = "{\"type\":\"library\",\"bom-ref\":" quoted(at) ",\"name\":" quoted(called[at]) ",\"version\":" quoted(numbered[at])
        line = line ",\"scope\":" (at in linked ? "\"required\"" : "\"excluded\"")
        if (at in sum) line = line ",\"hashes\":[{\"alg\":\"SHA-256\",\"content\":" quoted(sum[at]) "}]"
        if (license[at] != "") line = line "," licensed(at)
        line = line ",\"purl\":" quoted(at)
        if (source[at] != "") line = line ",\"externalReferences\":[{\"type\":\"vcs\",\"url\":" quoted(source[at]) "}]"
        print line "}" (i < count ? "," : "")
    }
    print "],\"dependencies\":["
    for (i = 1; i <= count; i++)
        print "{\"ref\":" quoted(order[i]) ",\"dependsOn\":[" wants[order[i]] "]}" (i < count ? "," : "")
    print "]}"
}
' "$place/linked" Cargo.lock "$place/tree"
