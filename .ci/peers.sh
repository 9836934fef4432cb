#!/usr/bin/env bash
# Times C++ libraries on the same networks and the same fault tree as ours, in
# one run on one core, and prints the ratios: their time by ours, so below 1 they
# are faster. Not part of .ci/run: what it prints depends on the machine. It fails
# if the answers differ, and where something was not measured it says so.
#
#   bash .ci/peers.sh [FOLDER]
#
# Networks are read from the folder networks in the folder shared beside the
# project, and from FOLDER besides (NAME.bif, and reference/NAME.json for the
# evidence; without that file, nothing is observed). Needs Debian: it installs
# g++, libdlib-dev and libbdd-dev where they are missing.
#
# Every time is the best of several. Building ours includes finding an order,
# making the circuit and its memory. A query of ours is one pass up and one down a
# circuit built beforehand, which gives all marginals but for a division; dlib's
# works out its tables anew for the evidence, so the two do not do the same amount
# of work, and their ratio is of what a caller waits for. BuDDy has no evaluation
# of probabilities; the one here walks its nodes as ours does.
set -euo pipefail
cd "$(dirname "$0")/.."
root=$PWD
patience=600 # seconds for one network in dlib, which not all can be done in

for package in g++ libdlib-dev libbdd-dev; do
	if ! dpkg -s "$package" >/dev/null 2>&1; then
		apt-get update -qq
		DEBIAN_FRONTEND=noninteractive apt-get install -y -qq g++ libdlib-dev libbdd-dev >/dev/null
		break
	fi
done

dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
fail() { printf '%s\n' "$*" >&2; exit 1; }

mkdir -p "$dir/in/reference" "$dir/nets"
for folder in ../shared/networks "$@"; do
	[ -d "$folder" ] || { [ "$folder" = ../shared/networks ] && continue; fail "there is no folder $folder"; }
	folder=$(cd "$folder" && pwd)
	find "$folder" -maxdepth 1 -name '*.bif' -exec ln -sf -t "$dir/in" {} +
	[ ! -d "$folder/reference" ] || find "$folder/reference" -name '*.json' -exec ln -sf -t "$dir/in/reference" {} +
done
[ -n "$(ls "$dir"/in/*.bif 2>/dev/null)" ] || fail "no networks; name a folder with .bif files"

g++ -O2 -o "$dir/jointree" .ci/peers/jointree.cpp -ldlib -lblas -llapack 2>"$dir/log" ||
	g++ -O2 -o "$dir/jointree" .ci/peers/jointree.cpp -ldlib 2>>"$dir/log" || { cat "$dir/log"; exit 1; }
g++ -O2 -o "$dir/decision" .ci/peers/decision.cpp -lbdd
export GOMAXPROCS=1
one() { taskset -c 0 "$@"; }
go test -c -o "$dir/circuit.test" ./faulttree/internal/circuit
go test -c -o "$dir/diagram.test" ./faulttree/internal/diagram

bench() { one "$1" -test.run '^$' -test.bench "$2" -test.benchtime 200ms -test.count 5 "${@:3}"; }
# The best time of one of our benchmarks, in milliseconds.
ours() {
	awk -v name="$1" '{ sub(/-[0-9]+$/, "", $1) } $1 == name && (!n++ || $3 < best) { best = $3 }
		END { if (!n) { print "no result of " name > "/dev/stderr"; exit 1 } printf "%.6f", best / 1e6 }' "$2"
}
ratio() { awk -v a="$1" -v b="$2" 'BEGIN { printf "%.3g", a / b }'; }

# How many numbers each line of a file holds.
shape() { awk '{ printf "%d ", NF }' "$1"; }

# agree NAME OURS THEIRS: as many marginals, all numbers, all within 1e-9.
agree() {
	[ -s "$2" ] && [ "$(shape "$2")" = "$(shape "$3")" ] || fail "the marginals of $1 are not as many"
	paste -d '\n' <(tr -s ' \n' '\n' <"$2") <(tr -s ' \n' '\n' <"$3") | awk -v name="$1" '
		tolower($1) ~ /nan|inf/ { print "the marginals of " name " hold " $1; bad = 1; exit }
		NR % 2 { ours = $1; next }
		!($1 - ours <= 1e-9 && ours - $1 <= 1e-9) { print "the marginals of " name " differ: " ours " and " $1; bad = 1; exit }
		END { exit bad }' >&2
}

(cd faulttree/internal/circuit && "$dir/circuit.test" -test.run WritePeers -networks "$dir/in" -peers "$dir/nets" >/dev/null)
(cd faulttree/internal/circuit && bench "$dir/circuit.test" Networks -networks "$dir/in") >"$dir/ours.txt"
[ -n "$(ls "$dir"/nets/*.net 2>/dev/null)" ] || fail "no network was written"

printf '%-12s %11s %10s %7s %13s %10s %8s %14s\n' network 'compile ms' 'dlib ms' ratio 'marginals ms' 'dlib ms' ratio 'dlib entries'
for net in "$dir"/nets/*.net; do
	name=$(basename "$net" .net)
	compile=$(ours "BenchmarkNetworks/$name/Compile" "$dir/ours.txt")
	pass=$(ours "BenchmarkNetworks/$name/AllMarginals" "$dir/ours.txt")
	code=0
	one timeout "$patience" "$dir/jointree" "$net" "${net%.net}.evidence" "${net%.net}.theirs" >"$dir/times" || code=$?
	if [ $code -ne 0 ]; then
		printf '%-12s %11.3f %10s %7s %13.5f   not measured: dlib ended with %s (124 is over %s s)\n' "$name" "$compile" - - "$pass" $code $patience
		continue
	fi
	agree "$name" "${net%.net}.ours" "${net%.net}.theirs"
	read -r build query entries <"$dir/times"
	printf '%-12s %11.3f %10.3f %7s %13.5f %10.3f %8s %14s\n' "$name" "$compile" "$build" "$(ratio "$build" "$compile")" \
		"$pass" "$query" "$(ratio "$query" "$pass")" "$entries"
done

(cd faulttree/internal/diagram && bench "$dir/diagram.test" 'FaultTree200/(Build|PTop)$') >"$dir/tree.txt"
if ! grep -q '^BenchmarkFaultTree200/' "$dir/tree.txt"; then
	printf '\nThe fault tree is not compared: BenchmarkFaultTree200 is missing.\n'
	exit
fi
# Our own value, which a benchmark does not look at.
(cd faulttree/internal/diagram && "$dir/diagram.test" -test.run '^TestFaultTree200$' -test.v) >"$dir/value.txt" || { cat "$dir/value.txt"; exit 1; }
grep -q '^--- PASS: TestFaultTree200' "$dir/value.txt" || fail "our probability of the fault tree was not looked at"
one "$dir/decision" "$root/testdata/engine/fault_tree_200.txt" >"$dir/theirs.txt"
[ -s "$dir/theirs.txt" ] || fail "BuDDy gave nothing"

nodes=$(awk '/FaultTree200\/Build/ { for (i = 2; i <= NF; i++) if ($i == "nodes") n = $(i - 1) } END { print n + 0 }' "$dir/tree.txt")
ourBuild=$(ours BenchmarkFaultTree200/Build "$dir/tree.txt")
ourTop=$(ours BenchmarkFaultTree200/PTop "$dir/tree.txt")
printf '\n%-30s %7s %10s %7s %10s %7s\n' 'fault tree, 200 events' nodes 'build ms' ratio 'P(top) ms' ratio
printf '%-30s %7s %10.3f %7s %10.4f %7s\n' ours "$nodes" "$ourBuild" '' "$ourTop" ''
while read -r order nodes build best value; do
	awk -v x="$value" 'BEGIN { d = x / 0.0245294288943142 - 1; exit !(x ~ /^0\.[0-9]+$/ && d <= 1e-12 && d >= -1e-12) }' ||
		fail "BuDDy gives the fault tree $value"
	printf '%-30s %7s %10.3f %7s %10.4f %7s\n' "BuDDy, order $order" "$nodes" "$build" "$(ratio "$build" "$ourBuild")" "$best" "$(ratio "$best" "$ourTop")"
done <"$dir/theirs.txt"
