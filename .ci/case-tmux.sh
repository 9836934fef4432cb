#!/usr/bin/env bash
# Works a whole case in a real terminal, that of tmux, and the same lines through
# a pipe, and demands the same journal but for the times.
#
#   .ci/case-tmux.sh ./narrows
set -u
PROGRAM=$(realpath -- "${1:?usage: case-tmux.sh PROGRAM}") || exit 2
command -v tmux >/dev/null || { echo "skipped: tmux is not installed, so no case was worked in it"; exit 0; }
unset TMUX NO_COLOR ACCESSIBLE
DIR=$(mktemp -d)
tm() { tmux -L "case-$$" -f /dev/null "$@"; }
trap 'tm kill-server 2>/dev/null; rm -rf -- "$DIR"' EXIT

LINES_TYPED=(
	'stumbles at all rpm since lay-up, starts fine'
	'seen'
	'noticed earth strap loose'
	'fixed tighten the earth strap'
	'still'
	'check fuel sample'
	'1'
	'noticed wet with fuel on cyl 2'
	'undo'
	'check dry compression'
	'cyl 2 121 psi'
	'cancel'
	'fixed clean all carburettors'
	'gone'
	'close carburettors cleaned, fuel renewed'
)

. "$(dirname -- "${BASH_SOURCE[0]}")/tmux.sh"
# typing_on: what is typed after an entry stands in the line as it was once the
# offer has come above it.
typing_on() {
	for _ in $(seq 600); do
		case $(tm capture-pane -p | grep -v '^ *$' | tail -n 1 | tr -d ' ') in 'ranking>' | 'narrows>') break ;; esac
		sleep 0.02
	done
	tm send-keys -l 'zz zz'
	wait_for 'narrows> zz zz'
	wait_for 'do next'
	tm send-keys C-u
}
# quiet: the last line is an empty prompt, so that the work is done.
quiet() {
	for _ in $(seq 600); do
		[ "$(tm capture-pane -p | grep -v '^ *$' | tail -n 1 | tr -d ' ')" = 'narrows>' ] && return 0
		sleep 0.1
	done
	echo "FAILED: no prompt after: $1"
	tm capture-pane -p
	exit 1
}

tm new-session -d -x 80 -y 24 "env PS1='$ ' bash --norc --noprofile"
tm send-keys -l "stty -a >'$DIR/before'; '$PROGRAM' --home '$DIR/typed'; stty -a >'$DIR/after'; echo shell-''again"
tm send-keys Enter
quiet 'the start'
for line in "${LINES_TYPED[@]}"; do
	if [ "$line" = undo ]; then
		tm send-keys -l 'und' # completed by Tab
		sleep 0.3
		tm send-keys Tab
		sleep 0.3
	else
		tm send-keys -l "$line"
	fi
	tm send-keys Enter
	[ "$line" = 'noticed earth strap loose' ] && sleep 0.3 && typing_on
	case $line in close*) wait_for shell-again ;; *) sleep 0.2; quiet "$line" ;; esac
	rows=$(tm capture-pane -p | wc -l)
	[ "$rows" -le 24 ] || { echo "FAILED: the screen has $rows rows"; exit 1; }
done
cmp -s "$DIR/before" "$DIR/after" || { echo "FAILED: the terminal is not as it was"; tm capture-pane -p | tail -20; cat "$DIR/before" "$DIR/after"; exit 1; }

printf '%s\n' "${LINES_TYPED[@]}" | "$PROGRAM" --home "$DIR/piped" >"$DIR/out" || { echo "FAILED: the piped lines"; tail "$DIR/out"; exit 1; }
bare() { sed -E 's/"prev":"[0-9a-f]*",?//; s/"time":"[^"]*",?//' "$1"/cases/*/journal.jsonl; }
if ! diff <(bare "$DIR/typed") <(bare "$DIR/piped"); then
	echo "FAILED: the journals differ"
	exit 1
fi
id=$(ls "$DIR/typed/cases")
"$PROGRAM" --home "$DIR/typed" verify "$id" || exit 1
[ -s "$DIR/typed/cases/$id/report.md" ] || { echo "FAILED: no report"; exit 1; }
echo "ok      a whole case in tmux: completion, undo, typing while it ranks, the same journal as through a pipe"
