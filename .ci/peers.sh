#!/usr/bin/env bash
# Times C++ libraries on the same networks and the same fault tree as ours, in
# one run on one core, and prints the ratios. Not part of .ci/run: what it prints
# depends on the machine. It fails if the answers differ.
#
#   bash .ci/peers.sh [FOLDER]
#
# FOLDER holds the networks (NAME.bif, and reference/NAME.json for the evidence);
# by default the folder networks in the folder shared beside the project. Needs
# Debian: it installs g++, libdlib-dev and libbdd-dev where they are missing.
set -euo pipefail
cd "$(dirname "$0")/.."
root=$PWD
networks=$(cd "${1:-../shared/networks}" && pwd)

for package in g++ libdlib-dev libbdd-dev; do
	if ! dpkg -s "$package" >/dev/null 2>&1; then
		apt-get update -qq
		DEBIAN_FRONTEND=noninteractive apt-get install -y -qq g++ libdlib-dev libbdd-dev >/dev/null
		break
	fi
done

dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
g++ -O2 -o "$dir/jointree" .ci/peers/jointree.cpp -ldlib -lblas -llapack 2>"$dir/log" ||
	g++ -O2 -o "$dir/jointree" .ci/peers/jointree.cpp -ldlib 2>>"$dir/log" || { cat "$dir/log"; exit 1; }
g++ -O2 -o "$dir/decision" .ci/peers/decision.cpp -lbdd
export GOMAXPROCS=1
one() { taskset -c 0 "$@"; }

go test -c -o "$dir/circuit.test" ./faulttree/internal/circuit
go test -c -o "$dir/diagram.test" ./faulttree/internal/diagram
mkdir "$dir/nets"
(cd faulttree/internal/circuit && "$dir/circuit.test" -test.run WritePeers -networks "$networks" -peers "$dir/nets" >/dev/null)
(cd faulttree/internal/circuit && one "$dir/circuit.test" -test.run '^$' -test.bench Networks -test.benchtime 300ms -networks "$networks") >"$dir/ours.txt"

# Our nanoseconds of one benchmark, as milliseconds.
ours() { awk -v name="$1" '{ sub(/-[0-9]+$/, "", $1) } $1 == name { printf "%.5f", $3 / 1e6 }' "$2"; }
ratio() { awk -v a="$1" -v b="$2" 'BEGIN { printf "%.1f", a / b }'; }

printf '%-12s %12s %12s %8s %14s %14s %10s\n' network 'compile ms' 'dlib ms' ratio 'marginals ms' 'dlib ms' ratio
for net in "$dir"/nets/*.net; do
	name=$(basename "$net" .net)
	read -r build query < <(one "$dir/jointree" "$net" "${net%.net}.evidence" "${net%.net}.theirs")
	paste "${net%.net}.ours" "${net%.net}.theirs" | awk -v name="$name" '{
		for (i = 1; i <= NF / 2; i++) {
			d = $i - $(i + NF / 2)
			if (d > 1e-9 || d < -1e-9) { print "the marginals of " name " differ by " d; exit 1 }
		}
	}'
	compile=$(ours "BenchmarkNetworks/$name/Compile" "$dir/ours.txt")
	pass=$(ours "BenchmarkNetworks/$name/AllMarginals" "$dir/ours.txt")
	printf '%-12s %12.3f %12.3f %8s %14.5f %14.3f %10s\n' "$name" "$compile" "$build" "$(ratio "$build" "$compile")" "$pass" "$query" "$(ratio "$query" "$pass")"
done

(cd faulttree/internal/diagram && one "$dir/diagram.test" -test.run '^$' -test.bench FaultTree200 -test.benchtime 300ms) >"$dir/tree.txt"
read -r build best value < <(one "$dir/decision" "$root/testdata/engine/fault_tree_200.txt")
awk -v x="$value" 'BEGIN { d = x / 0.0245294288943142 - 1; if (d > 1e-12 || d < -1e-12) { print "the fault tree gives " x; exit 1 } }'
ourBuild=$(ours BenchmarkFaultTree200/Build "$dir/tree.txt")
ourTop=$(ours BenchmarkFaultTree200/PTop "$dir/tree.txt")
printf '\n%-22s %12s %12s %8s\n' 'fault tree, 200 events' 'ours ms' 'BuDDy ms' ratio
printf '%-22s %12.3f %12.3f %8s\n' build "$ourBuild" "$build" "$(ratio "$build" "$ourBuild")"
printf '%-22s %12.4f %12.4f %8s\n' 'P(top)' "$ourTop" "$best" "$(ratio "$best" "$ourTop")"
